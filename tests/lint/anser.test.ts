import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { lintOf } from "./on-repository.js";

const folder = new URL("../../examples/anser/", import.meta.url);

function filesOf(repository: URL): Readonly<Record<string, string>> {
  const paths = readdirSync(repository, { recursive: true, encoding: "utf8" }).filter((path) => path.endsWith(".yaml"));
  return Object.fromEntries(paths.sort().map((path) => [path, readFileSync(new URL(path, repository), "utf8")]));
}

test("the cards of RV Anser lint clean", () => {
  expect(lintOf(filesOf(folder))).toEqual([]);
});
