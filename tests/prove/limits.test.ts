import { describe, expect, test } from "vitest";
import type { Finding } from "../../src/diagnostics/finding.js";
import { UNPROVED } from "../../src/prove/kinds.js";
import { type Proved, type ProveOptions, proveProgram } from "../../src/prove/prove.js";
import { randomWorld, worldFrom } from "../support/random-world.js";

/**
 * A limit may take answers away, and then says so; it never makes one up. Each world is proved whole and then under limits, of
 * nodes and of time (a clock that strikes at the n-th time it is asked). A rule is as it was or unproved, with a finding that says
 * so; nothing is found that is not there, and what is no longer found is owned up to.
 */
const WORLDS = Array.from({ length: 60 }, (_, index) => index + 1);
const NODES = [20, 60, 150, 400, 1000, 3000];
const STRIKES = [0, 1, 3, 10, 30, 100, 300];

describe("a limit", () => {
  test("of nodes", { timeout: 240_000 }, () => {
    const cut = WORLDS.flatMap((seed) => NODES.map((nodes) => wrongs(seed, () => ({ nodes }))));
    report(cut);
  });

  test("of time", { timeout: 240_000 }, () => {
    const cut = WORLDS.flatMap((seed) => STRIKES.map((strikes) => wrongs(seed, () => ({ deadline: clock(strikes) }))));
    report(cut);
  });
});

interface Cut {
  readonly wrong: readonly string[];
  /** Did the limit take something away? */
  readonly isCut: boolean;
}

function report(cuts: readonly Cut[]): void {
  expect(cuts.flatMap(({ wrong }) => wrong).slice(0, 5)).toEqual([]);
  const share = cuts.filter(({ isCut }) => isCut).length / cuts.length;
  expect(share).toBeGreaterThan(0.2);
  expect(share).toBeLessThan(0.95);
}

function clock(strikes: number): () => boolean {
  let asked = 0;
  return () => asked++ >= strikes;
}

function wrongs(seed: number, limit: () => ProveOptions): Cut {
  const { program } = worldFrom(randomWorld(seed));
  const [whole, cut] = [proveProgram(program), proveProgram(program, limit())];
  const isCut = cut.findings.some(isUnproved);
  const said = (text: string) => `seed ${seed}, ${JSON.stringify(limit())}: ${text}`;
  return { wrong: [...ofRules(whole, cut), ...ofFindings(whole, cut)].map(said), isCut };
}

function ofRules(whole: Proved, cut: Proved): string[] {
  return cut.proofs.flatMap(({ procedure, rules }) =>
    rules.flatMap(({ rule, verdict }) => {
      const before = whole.proofs
        .find((proof) => proof.procedure === procedure)
        ?.rules.find((one) => one.rule === rule);
      if (verdict !== "unproved")
        return verdict === before?.verdict ? [] : [`${rule} was ${before?.verdict}, is ${verdict}`];
      const isTold = cut.findings.some((one) => isUnproved(one) && one.subject.rule === rule);
      return isTold ? [] : [`${rule} is unproved, and nothing says so`];
    }),
  );
}

function ofFindings(whole: Proved, cut: Proved): string[] {
  const [before, now] = [whole, cut].map(({ findings }) => new Set(findings.map(codeAndRule)));
  const added = cut.findings.filter(
    (one) => !isUnproved(one) && !before!.has(codeAndRule(one)) && one.severity === "error",
  );
  const lost = whole.findings.filter((one) => one.severity === "error" && !now!.has(codeAndRule(one)));
  return [
    ...added.map((one) => `made up: ${codeAndRule(one)}`),
    ...(lost.length > 0 && !cut.findings.some(isUnproved)
      ? [`lost without a word: ${lost.map(codeAndRule).join(", ")}`]
      : []),
  ];
}

function isUnproved({ code }: Finding): boolean {
  return code === UNPROVED.code;
}

function codeAndRule({ code, subject }: Finding): string {
  return [code, subject.procedure, subject.rule ?? ""].join(" ");
}
