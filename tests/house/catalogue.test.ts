import { describe, expect, test } from "vitest";
import { CATALOGUE } from "../../src/catalogue.js";
import { setCards } from "../../src/cli/cards.js";
import type { Finding, FindingKind } from "../../src/diagnostics/finding.js";
import { EMIT_KINDS } from "../../src/emit/kinds.js";
import { check } from "../../src/pipeline.js";
import type { Procedure } from "../../src/program/procedure.js";
import type { Program } from "../../src/program/program.js";
import { UNPROVED } from "../../src/prove/kinds.js";
import { loadFaces, loadWebFaces } from "../../src/workspace/fonts.js";
import { openWorkspace } from "../../src/workspace/project.js";
import { memoryHost } from "../support/memory-host.js";

const FACES = loadFaces();
const WEB_FACES = loadWebFaces();

test("each code is declared once, as thing/what", () => {
  const codes = CATALOGUE.map(({ code }) => code);
  expect(codes).toEqual([...new Set(codes)].sort());
  expect(codes.filter((code) => !/^[a-z0-9-]+\/[a-z0-9-]+$/.test(code))).toEqual([]);
});

test("each page has a summary and a reason that are sentences", () => {
  const wrong = CATALOGUE.filter(({ summary, why }) => !/^\S.*\.$/.test(summary) || !/^\S[\s\S]*[.)]$/.test(why));
  expect(wrong.map(({ code }) => code)).toEqual([]);
});

/** A limit that was hit raises it, and no text: it says so itself. */
const WITHOUT_EXAMPLE = [UNPROVED];

test("only what no text can raise is without an example", () => {
  const without = CATALOGUE.filter(({ bad, good }) => Object.keys(bad).length === 0 || Object.keys(good).length === 0);
  expect(without).toEqual(WITHOUT_EXAMPLE);
});

const WITH_EXAMPLE = CATALOGUE.filter((kind) => !WITHOUT_EXAMPLE.includes(kind));

describe.each(WITH_EXAMPLE.map((kind) => [kind.code, kind] as const))("%s", (_, kind) => {
  test("its bad example raises it and nothing else", () => {
    const found = findingsIn(kind.bad, EMIT_KINDS.includes(kind));
    expect([...new Set(found.map(({ code }) => code))], told(found)).toEqual([kind.code]);
  });

  test("its good example raises nothing", () => {
    const found = findingsIn(kind.good, EMIT_KINDS.includes(kind));
    expect(found, told(found)).toEqual([]);
  });
});

/** As the program finds them: through a project file where the example has one, else all its files. */
function findingsIn(files: FindingKind["bad"], looksAtCards: boolean): readonly Finding[] {
  const options = looksAtCards ? { cards: cardFindings } : {};
  const isProject = Object.values(files).some((text) => /^kind: project$/m.test(text));
  if (!isProject)
    return check(
      Object.entries(files).map(([path, text]) => ({ path, text })),
      options,
    ).report.findings;
  const onDisk = Object.fromEntries(Object.entries(files).map(([path, text]) => [`/example/${path}`, text]));
  const workspace = openWorkspace(memoryHost(onDisk), "/example", []);
  return check(workspace.files, { ...options, findings: workspace.findings }).report.findings;
}

const noReliances = () => ({ all: [], unanswered: 0 });

/** As `build` looks at them. */
function cardFindings(program: Program, procedures: readonly Procedure[]): readonly Finding[] {
  return setCards(program, procedures, {
    faces: FACES,
    webFaces: WEB_FACES,
    draft: false,
    diagrams: [],
    reliancesOf: noReliances,
  }).findings;
}

function told(findings: readonly Finding[]): string {
  return findings.map(({ code, message, at }) => `${at.file.path}:${at.start} ${code} ${message}`).join("\n");
}
