import { readFileSync } from "node:fs";
import { Ajv } from "ajv";
import { CORE_SCHEMA, load } from "js-yaml";
import { describe, expect, test } from "vitest";
import { COMMON_KEYS, COMPANIONS, NEEDED, VERBS } from "../../src/syntax/shape/verbs.js";

const KINDS = ["project", "system", "rules", "procedure"] as const;
type Schema = Readonly<Record<string, unknown>>;

function schema(kind: string): Schema {
  return JSON.parse(readFileSync(new URL(`../../schema/${kind}.schema.json`, import.meta.url), "utf8"));
}

/** Every schema object inside of one, with a path to it. */
function* inside(value: unknown, path = ""): Generator<readonly [string, Schema]> {
  if (value === null || typeof value !== "object") return;
  if (!Array.isArray(value)) yield [path, value as Schema];
  for (const [key, inner] of Object.entries(value)) yield* inside(inner, `${path}/${key}`);
}

describe.each(KINDS)("the schema of a %s", (kind) => {
  test("is a schema by the meta-schema of JSON Schema draft-07", () => {
    const ajv = new Ajv();
    expect(ajv.validateSchema(schema(kind)), ajv.errorsText()).toBe(true);
    expect(schema(kind).$schema).toBe("http://json-schema.org/draft-07/schema#");
  });

  test("has a title, which messages use, wherever it can say no", () => {
    const saying = [
      "type",
      "enum",
      "const",
      "pattern",
      "minItems",
      "minProperties",
      "additionalProperties",
      "required",
    ];
    const untitled = [...inside(schema(kind))].filter(
      ([path, part]) =>
        !/\/(if|properties|required|definitions)$|\/(if)\/|\/then$|\/else$/.test(path) &&
        saying.some((keyword) => keyword in part) &&
        typeof part.title !== "string",
    );
    expect(untitled.map(([path]) => path)).toEqual([]);
  });
});

describe("the steps of the schema and of our own check", () => {
  const step = (schema("procedure").definitions as Record<string, Schema>).step!;

  test("know the same keys", () => {
    const ours = [...VERBS, ...COMPANIONS.keys(), ...COMMON_KEYS];
    expect(ours.toSorted()).toEqual([...new Set(ours)].toSorted());
    expect(Object.keys(step.properties as object).toSorted()).toEqual(ours.toSorted());
  });

  test("need only keys that go with the verb", () => {
    for (const [verb, needed] of NEEDED) {
      for (const key of needed.flat()) expect(COMPANIONS.get(key)).toContain(verb);
    }
  });
});

/** As an editor reads a file: YAML's guess at types included. What our own reader takes, an editor must not mark red. */
describe("an editor with these schemas", () => {
  const ajv = new Ajv({ allErrors: true, allowUnionTypes: true, strictTypes: false, strictRequired: false });
  const example = (name: string) =>
    load(readFileSync(new URL(`../../examples/anser/${name}`, import.meta.url), "utf8"), { schema: CORE_SCHEMA });

  test.each([
    ["project", "project.yaml"],
    ["system", "systems/anser-emergency-power.yaml"],
    ["rules", "rules/standing.yaml"],
    ["procedure", "procedures/emergency-start.yaml"],
    ["procedure", "procedures/load-essentials.yaml"],
  ])("accepts the example: %s %s", (kind, name) => {
    const validate = ajv.compile({ ...schema(kind), $id: `${kind}/${name}` });
    const value = JSON.parse(JSON.stringify(example(name)));
    expect(validate(value), ajv.errorsText(validate.errors)).toBe(true);
  });

  test("takes numbers and words of truth where text may stand", () => {
    const validate = ajv.compile({ ...schema("procedure"), $id: "text" });
    const value = load(
      "kind: procedure\ntitle: 007\ncategory: normal\nsteps:\n  - do: true\n  - say: 1.5\n  - press: { bell: pressed }\n    times: 2\n",
      { schema: CORE_SCHEMA },
    );
    expect(validate(value), ajv.errorsText(validate.errors)).toBe(true);
  });
});
