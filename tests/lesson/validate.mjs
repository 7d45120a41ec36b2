// Validates JSON documents on standard input, one file name a line, against docs/notes.schema.json
// with ajv (npm, JSON Schema 2020-12). Prints what is wrong; the exit code counts bad files.
import { readFileSync } from "node:fs";
import Ajv2020 from "ajv/dist/2020.js";

const [schema, ...files] = process.argv.slice(2);
const validate = new Ajv2020({ strict: false }).compile(JSON.parse(readFileSync(schema, "utf8")));
let bad = 0;
for (const file of files) {
  if (validate(JSON.parse(readFileSync(file, "utf8")))) continue;
  console.log(file, JSON.stringify(validate.errors?.slice(0, 3)));
  bad += 1;
}
console.log(`${files.length} read, ${bad} bad`);
process.exit(bad === 0 ? 0 : 1);
