import { expect, test } from "vitest";
import { check } from "../../src/pipeline.js";
import { renderText } from "../../src/report/text.js";
import { openWorkspace } from "../../src/workspace/project.js";
import { memoryHost } from "../support/memory-host.js";

// What is told of a repository one of whose files has been emptied: that, and not what follows from it.

const FILES = {
  "project.yaml":
    "kind: project\nformat: 1\ntitle: Boat (fictional)\nsources: [plant.yaml, rules.yaml, card.yaml, stop.yaml]\n",
  "plant.yaml":
    "kind: system\ntitle: Boat (fictional)\ncontrols:\n  pump: { label: PUMP, positions: [off, on] }\n  gate: { label: GATE, positions: [shut, open] }\n",
  "rules.yaml": "kind: rules\nrules:\n  - { id: gate-first, require: gate is open, when: pump is on }\n",
  "card.yaml":
    "kind: procedure\ntitle: Start\ncategory: normal\nbegins: [pump is off]\nsteps:\n  - set: { gate: open }\n  - set: { pump: on }\n",
  "stop.yaml":
    "kind: procedure\ntitle: Stop\ncategory: normal\nbegins: [pump is off]\nsteps:\n  - set: { gate: shut }\n",
};

function found(emptied: keyof typeof FILES): { readonly codes: string[]; readonly text: string } {
  const onDisk = Object.entries(FILES).map(([path, text]) => [`/boat/${path}`, path === emptied ? "" : text]);
  const workspace = openWorkspace(memoryHost(Object.fromEntries(onDisk)), "/boat", []);
  const { report } = check(workspace.files, { findings: workspace.findings });
  const errors = report.findings.filter(({ code }) => !/^(wording|record|structure)\//.test(code));
  const text = renderText(report, { version: "1", kinds: [] }, { colour: false, columns: 100, summary: true });
  return { codes: errors.map(({ code }) => code), text };
}

test("the system: not that there is none; and that nothing was proved", () => {
  const { codes, text } = found("plant.yaml");
  expect(codes).toEqual(["file/empty"]);
  expect(text).toContain("Nothing was proved.");
});

test("a card: not that a rule has no use, which the card may have been", () => {
  const { codes, text } = found("card.yaml");
  expect(codes).toEqual(["file/empty"]);
  expect(text).toContain("1 of 1 proved");
});

test("the project's own file: that it is there, and what to write into it", () => {
  expect(() => found("project.yaml")).toThrow(
    expect.objectContaining({ help: "`project.yaml` is there and does not say it: write `kind: project` into it" }),
  );
});
