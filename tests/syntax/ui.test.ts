import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { parseDocument } from "../../src/syntax/parse.js";
import { withNotes, withoutNotes } from "./annotate.js";

const FOLDER = new URL("ui/", import.meta.url);

describe.each(readdirSync(FOLDER).sort())("%s", (name) => {
  const fixture = readFileSync(new URL(name, FOLDER), "utf8");

  test("has its findings at their places, and no others", () => {
    const text = withoutNotes(fixture);
    const { findings } = parseDocument({ path: name, text });
    expect(withNotes(text, findings)).toBe(fixture);
  });
});
