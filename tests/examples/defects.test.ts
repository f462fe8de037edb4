import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { CATALOGUE } from "../../src/catalogue.js";
import { type CardsOptions, setCards } from "../../src/cli/cards.js";
import type { Finding } from "../../src/diagnostics/finding.js";
import { type CheckOptions, check } from "../../src/pipeline.js";
import { Lines } from "../../src/source/lines.js";
import { loadFaces } from "../../src/workspace/fonts.js";
import { nodeHost } from "../../src/workspace/node-host.js";
import { openWorkspace } from "../../src/workspace/project.js";

/** What `expected.json` records: one finding at one place, and the codes that cannot but come with it. */
interface Expected {
  readonly code: string;
  /** The fault in a sentence, for people. */
  readonly says: string;
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly rule?: string;
  readonly tails?: readonly string[];
  /** Codes that follow from the same fault and cannot be parted from it. */
  readonly also?: readonly string[];
  /** A file that is padded with comments up to this many bytes before it is read: too big to keep in a repository. */
  readonly grow?: { readonly file: string; readonly to: number };
  /** The pages are set in type and measured too, as `build` does. */
  readonly cards?: true;
  /** The time for proofs; 0 means that none is left. */
  readonly seconds?: 0;
}

const FOLDER = join(import.meta.dirname, "../../examples/defects");
/** What setting cards in type needs; faces for web pages are not asked for where only the pages are measured. */
const SET = { faces: loadFaces(), draft: false } as CardsOptions;
const DEFECTS = readdirSync(FOLDER, { withFileTypes: true })
  .filter((item) => item.isDirectory())
  .map(
    ({ name }) => [name, JSON.parse(readFileSync(join(FOLDER, name, "expected.json"), "utf8")) as Expected] as const,
  );

describe("examples/defects", () => {
  test("holds at least forty repositories, and at least one for each code of the catalogue", () => {
    const codes = new Set(DEFECTS.map(([, { code }]) => code));
    expect(DEFECTS.length).toBeGreaterThanOrEqual(40);
    expect(CATALOGUE.map(({ code }) => code).filter((code) => !codes.has(code))).toEqual([]);
  });

  test.each(DEFECTS)("%s raises what it records, there and nothing else", (name, expected) => {
    const found = findingsOf(name, expected);
    const told = found.map(({ code, message, at }) => `${at.file.path}:${at.start} ${code} ${message}`).join("\n");
    const meant = found.filter((one) => isMeant(one, expected));
    expect(meant.map(placeOf), told).toEqual([placeWanted(expected)]);
    expect(found.filter((one) => !meant.includes(one) && !expected.also?.includes(one.code)).map(placeOf)).toEqual([]);
    if (expected.tails) expect(meant[0]!.tails).toEqual(expected.tails);
  });
});

function isMeant({ code, subject }: Finding, expected: Expected): boolean {
  return code === expected.code && (expected.rule === undefined || subject.rule === expected.rule);
}

function placeOf({ code, at }: Finding): string {
  const { line, column } = new Lines(at.file.text).place(at.start);
  return `${code} at ${at.file.path}:${line}:${column}`;
}

function placeWanted({ code, file, line, column }: Expected): string {
  return `${code} at ${file}:${line}:${column}`;
}

function findingsOf(name: string, { grow, cards, seconds }: Expected): readonly Finding[] {
  const workspace = openWorkspace(grow ? growing(grow) : nodeHost, FOLDER, [name]);
  const options: CheckOptions = {
    findings: workspace.findings,
    ...(cards && {
      cards: (program, procedures) => setCards(program, procedures, SET).findings,
    }),
    ...(seconds === 0 && { deadline: () => true }),
  };
  return check(workspace.files, options).report.findings;
}

function growing({ file, to }: NonNullable<Expected["grow"]>): typeof nodeHost {
  return {
    ...nodeHost,
    read: (path) => (path.endsWith(`/${file}`) ? Buffer.alloc(to, `${"#".repeat(79)}\n`) : nodeHost.read(path)),
  };
}
