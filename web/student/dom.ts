// Elements made by hand: all text goes in as text, so that nothing in a lesson can become markup.

type Child = Node | string | null | undefined | false;
type Attributes = Readonly<Record<string, string | number | boolean | ((event: Event) => void)>>;

/** An element with attributes (functions listen to the event of that name) and children. */
export function el<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attributes: Attributes = {},
  ...children: readonly Child[]
): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(name, value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false) element.setAttribute(name, String(value));
  }
  put(element, ...children);
  return element;
}

/** These children in place of what was there. */
export function put(element: HTMLElement, ...children: readonly Child[]): void {
  element.replaceChildren(...children.filter((child): child is Node | string => child !== null && child !== undefined && child !== false));
}

/** A word that is pressed. */
export function word(text: string, press: () => void, attributes: Attributes = {}): HTMLButtonElement {
  return el("button", { type: "button", class: "word", click: press, ...attributes }, text);
}

/** Takes or gives the state of a word that stays pressed. */
export function press(button: HTMLElement, pressed: boolean): void {
  button.setAttribute("aria-pressed", String(pressed));
}
