import { describe, expect, test } from "vitest";
import { folderWith, proofcard, SOUND, UNSOUND } from "./run.js";

describe("coverage", () => {
  test("0 where every row is answered; tables and the caution on stdout", () => {
    const ran = proofcard(folderWith(SOUND), ["coverage"]);
    expect(ran).toMatchObject({ status: 0, err: "" });
    expect(ran.out).toContain("Slips: 2 of 2 are silent");
    expect(ran.out).toContain("it ends without `pump is on`");
    expect(oneLine(ran.out)).toContain("a default from memory; set `omission` in the project");
  });

  test("1 where a procedure is left out for its errors, which is said", () => {
    const ran = proofcard(folderWith(UNSOUND), ["coverage"]);
    expect(ran).toMatchObject({ status: 1, err: "" });
    expect(ran.out).toContain("Left out: `start`, its text has errors.");
  });

  test("1 where a limit came first: the rows are unproved, and the summary says so", () => {
    const ran = proofcard(folderWith(SOUND), ["coverage", "--time-limit", "0.000001"]);
    expect(ran.status).toBe(1);
    expect(oneLine(ran.out)).toMatch(/\d+ rows? unproved, the limit came first/);
  });

  test("2 where there is nothing to look at", () => {
    const { "cards/start.yaml": _, ...none } = SOUND;
    expect(proofcard(folderWith(none), ["coverage"]).status).toBe(2);
  });

  test("JSON and the page are one whole document each, the same twice", () => {
    const folder = folderWith(SOUND);
    const json = proofcard(folder, ["coverage", "--format", "json"]);
    expect(JSON.parse(json.out)).toMatchObject({ format: 1, unproved: 0 });
    const page = proofcard(folder, ["coverage", "--format", "html"]).out;
    expect(page).toMatch(/^<!DOCTYPE html>[\s\S]*<\/html>\n$/);
    expect(proofcard(folder, ["coverage", "--format", "html"]).out).toBe(page);
  });
});

describe("explain a line", () => {
  test("says what breaks without it", () => {
    const ran = proofcard(folderWith(SOUND), ["explain", "start:set-pump"]);
    expect(ran).toMatchObject({ status: 0, err: "" });
    expect(ran.out).toContain("the promise `pump is on`");
    expect(proofcard(folderWith(SOUND), ["explain", "start:1"]).out).toBe(ran.out);
  });

  test("2 with a name that nothing has, and the nearest that there is", () => {
    const ran = proofcard(folderWith(SOUND), ["explain", "start:set-pmup"]);
    expect(ran.status).toBe(2);
    expect(ran.err).toContain("did you mean `set-pump`?");
  });

  test("a rule is told by the lines that keep it", () => {
    const folder = folderWith({
      ...SOUND,
      "project.yaml": SOUND["project.yaml"]!.replace('"cards/*.yaml"', '"cards/*.yaml", "rules.yaml"'),
      "rules.yaml":
        "kind: rules\nrules:\n  - { id: pump-on, says: The pump runs., require: pump is on, no-later-than: end }\n",
    });
    const ran = proofcard(folder, ["explain", "pump-on"]);
    expect(ran.out).toContain("start:set-pump (step 1)");
  });
});

/** Lines are wrapped where they fit. */
function oneLine(text: string): string {
  return text.replace(/\s+/g, " ");
}
