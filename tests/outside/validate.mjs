// Judges documents by a JSON schema with ajv.
//
//   node tests/outside/validate.mjs SCHEMA DOCUMENT...
//
// Prints a line "DOCUMENT: ok" or "DOCUMENT: where what" for each. The draft is read from the schema.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";

const require = createRequire(process.env.NODE_PATH + "/");
const read = (path) => JSON.parse(readFileSync(path, "utf8"));
const [schemaPath, ...documents] = process.argv.slice(2);
const schema = read(schemaPath);
const draft = schema.$schema.includes("draft-04") ? "ajv-draft-04" : "ajv/dist/2020";
const Ajv = require(draft);
const ajv = new (Ajv.default ?? Ajv)({ strict: false, allErrors: true, unicodeRegExp: false });
require("ajv-formats").default(ajv);
const judge = ajv.compile(schema);

for (const path of documents) {
  const ok = judge(read(path));
  const faults = ok ? [] : judge.errors.slice(0, 5).map((e) => `${e.instancePath} ${e.message} ${JSON.stringify(e.params)}`);
  console.log(`${path}: ${ok ? "ok" : faults.join("; ")}`);
}
