import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { LINT_KINDS } from "../../src/lint/kinds.js";

const rulesFolder = new URL("../../src/lint/rules/", import.meta.url);
const files = readdirSync(rulesFolder).sort();

test("each rule is registered, in a file named after its code", () => {
  expect(LINT_KINDS.map(({ code }) => `${code.replace("/", "-")}.ts`).sort()).toEqual(files);
});

test.each(files)("%s imports no other rule", (file) => {
  expect(readFileSync(new URL(file, rulesFolder), "utf8")).not.toMatch(/from "\.\/|\/rules\//);
});

test.each(LINT_KINDS)("$code says where it comes from", ({ why }) => {
  expect(why).toMatch(/Based on [A-Z0-9]|no published source/);
});

test("only what puts another position in print than in the proof is an error", () => {
  expect(LINT_KINDS.filter(({ severity }) => severity === "error").map(({ code }) => code)).toEqual([
    "wording/response-differs",
  ]);
});
