// The title of a lesson file, for lists; the engine has the last word once the lesson is open.

/**
 * The text's first key `title` above all tables, where it stands on one line as TOML's basic or literal string (TOML 1.0,
 * String); "" where it does not.
 */
export function titleOf(text: string): string {
  for (const line of text.split("\n")) {
    if (/^\s*\[/.test(line)) return "";
    const [, basic, literal] = /^\s*title\s*=\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)')/.exec(line) ?? [];
    if (literal !== undefined) return literal.trim();
    if (basic !== undefined) return unescaped(basic).trim();
  }
  return "";
}

const SIGNS: Readonly<Record<string, string>> = { b: "\b", t: "\t", n: "\n", f: "\f", r: "\r", '"': '"', "\\": "\\" };

function unescaped(text: string): string {
  return text.replace(/\\(?:u([0-9A-Fa-f]{4})|U([0-9A-Fa-f]{8})|(.))/g, (all: string, short?: string, long?: string, sign?: string) => {
    const code = Number.parseInt(short ?? long ?? "", 16);
    if (!Number.isNaN(code)) return code <= 0x10ffff ? String.fromCodePoint(code) : "\ufffd";
    return SIGNS[sign ?? ""] ?? all;
  });
}
