/**
 * Writes src/syntax/generated/validators.js: the schemas under schema/ compiled to plain functions, because importing
 * ajv itself costs about 110 ms at every start. Called by build.mjs and by the tests' global setup; does nothing when
 * the result is newer than what it is made from.
 */
import { existsSync, mkdirSync, readFileSync, renameSync, statSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const SELF = fileURLToPath(import.meta.url);
const ROOT = dirname(dirname(SELF));
const KINDS = ["project", "system", "rules", "procedure"];
const OUT = join(ROOT, "src", "syntax", "generated", "validators.js");

const DECLARATIONS = `/** What ajv says about one place; \`parentSchema\` is the schema object that holds the keyword. */
export interface ShapeError {
  readonly instancePath: string;
  readonly keyword: string;
  readonly params: Readonly<Record<string, unknown>>;
  readonly propertyName?: string;
  readonly parentSchema?: Readonly<Record<string, unknown>>;
}
export interface Validator {
  (value: unknown): boolean;
  errors?: readonly ShapeError[] | null;
}
${KINDS.map((kind) => `export const ${kind}: Validator;\n`).join("")}`;

if (process.argv.includes("--force") || !isFresh()) await generate();

function isFresh() {
  const made = [OUT, OUT.replace(/\.js$/, ".d.ts")];
  if (!made.every((file) => existsSync(file))) return false;
  const from = [SELF, ...KINDS.map(schemaFile)];
  return Math.min(...made.map(age)) > Math.max(...from.map(age));
}

function age(file) {
  return statSync(file).mtimeMs;
}

function schemaFile(kind) {
  return join(ROOT, "schema", `${kind}.schema.json`);
}

async function generate() {
  const { default: Ajv } = await import("ajv");
  const { default: standaloneCode } = await import("ajv/dist/standalone/index.js");
  const { build } = await import("esbuild");
  const ajv = new Ajv({
    allErrors: true,
    verbose: true,
    allowUnionTypes: true,
    strictTypes: false,
    strictRequired: false,
    code: { source: true, esm: true },
  });
  const names = {};
  for (const kind of KINDS) {
    const schema = withoutUnique(JSON.parse(readFileSync(schemaFile(kind), "utf8")));
    ajv.addSchema(schema);
    names[kind] = schema.$id;
  }
  const bundle = await build({
    stdin: { contents: joinedInPlace(standaloneCode(ajv, names)), resolveDir: ROOT, loader: "js" },
    bundle: true,
    format: "esm",
    platform: "neutral",
    target: "node20.19",
    write: false,
    legalComments: "none",
    minify: true,
  });
  mkdirSync(dirname(OUT), { recursive: true });
  put(OUT, bundle.outputFiles[0].text);
  put(OUT.replace(/\.js$/, ".d.ts"), DECLARATIONS);
}

/** What one validator found is added to what another did in place: ajv copies the whole list each time, which is quadratic. */
function joinedInPlace(code) {
  const joined = code.replace(
    /vErrors = vErrors === null \? ([\w.]+)\.errors : vErrors\.concat\(\1\.errors\)/g,
    "vErrors = joined(vErrors, $1.errors)",
  );
  if (joined === code || joined.includes(".concat("))
    throw new Error("ajv joins its errors in another way than this script knows");
  return `function joined(found, more) { if (found === null) return more; for (const one of more) found.push(one); return found; }\n${joined}`;
}

/** Lists with a name twice are found by our own check, in linear time; the schemas say it for editors. */
function withoutUnique(schema) {
  if (Array.isArray(schema)) return schema.map(withoutUnique);
  if (schema === null || typeof schema !== "object") return schema;
  const kept = Object.entries(schema).filter(([key, value]) => key !== "uniqueItems" || value !== true);
  return Object.fromEntries(kept.map(([key, value]) => [key, withoutUnique(value)]));
}

/** One after the other can generate at the same time; a reader sees a whole file. */
function put(file, text) {
  const beside = `${file}.${process.pid}.new`;
  writeFileSync(beside, text);
  renameSync(beside, file);
}
