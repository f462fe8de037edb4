import { describe, expect, test } from "vitest";
import { CATALOGUE } from "../../src/catalogue.js";
import type { Finding, FindingKind } from "../../src/diagnostics/finding.js";
import { check } from "../../src/pipeline.js";
import { openWorkspace } from "../../src/workspace/project.js";
import { memoryHost } from "../support/memory-host.js";

test("each code is declared once, as thing/what", () => {
  const codes = CATALOGUE.map(({ code }) => code);
  expect(codes).toEqual([...new Set(codes)].sort());
  expect(codes.filter((code) => !/^[a-z0-9-]+\/[a-z0-9-]+$/.test(code))).toEqual([]);
});

test("each page has a summary and a reason that are sentences", () => {
  const wrong = CATALOGUE.filter(({ summary, why }) => !/^\S.*\.$/.test(summary) || !/^\S[\s\S]*[.)]$/.test(why));
  expect(wrong.map(({ code }) => code)).toEqual([]);
});

describe.each(CATALOGUE.map((kind) => [kind.code, kind] as const))("%s", (_, kind) => {
  test("its bad example raises it and nothing else", () => {
    const found = findingsIn(kind.bad);
    expect([...new Set(found.map(({ code }) => code))], told(found)).toEqual([kind.code]);
  });

  test("its good example raises nothing", () => {
    const found = findingsIn(kind.good);
    expect(found, told(found)).toEqual([]);
  });
});

/** As `proofcard check` finds them: through a project file where the example has one, else all its files. */
function findingsIn(files: FindingKind["bad"]): readonly Finding[] {
  const isProject = Object.values(files).some((text) => /^kind: project$/m.test(text));
  if (!isProject) return check(Object.entries(files).map(([path, text]) => ({ path, text }))).report.findings;
  const onDisk = Object.fromEntries(Object.entries(files).map(([path, text]) => [`/example/${path}`, text]));
  const workspace = openWorkspace(memoryHost(onDisk), "/example", []);
  return check(workspace.files, { findings: workspace.findings }).report.findings;
}

function told(findings: readonly Finding[]): string {
  return findings.map(({ code, message, at }) => `${at.file.path}:${at.start} ${code} ${message}`).join("\n");
}
