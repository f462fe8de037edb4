import { describe, expect, test } from "vitest";
import type { Finding } from "../../src/diagnostics/finding.js";
import { buildModel } from "../../src/machine/model.js";
import { NodeLimit } from "../../src/machine/symbolic/bdd.js";
import { ask, firstSearch } from "../../src/prove/answer.js";
import { type Context, contextOf } from "../../src/prove/context.js";
import { UNPROVED } from "../../src/prove/kinds.js";
import { questionOf } from "../../src/prove/monitors.js";
import { type Proved, type ProveOptions, proveProgram } from "../../src/prove/prove.js";
import type { Query } from "../../src/prove/query.js";
import { queryOf } from "../../src/prove/rules.js";
import { micro, set, wait } from "../support/micro.js";
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

/**
 * Made up: whether the lamp is lit is the parity of nine handles, all of which stand as the last crew left them; the last line turns
 * the first of them. What is asked needs about twice the nodes that each case of one handle needs.
 */
test("a question that runs out of nodes is put in cases", () => {
  const handles = Array.from({ length: 9 }, (_, index) => `h${index}`);
  const parity = handles.reduce(
    (so, handle) =>
      so === "" ? `${handle} is on` : `((${so}) and ${handle} is off) or (not (${so}) and ${handle} is on)`,
    "",
  );
  const lines = [
    ...handles.map((handle) => `ctl ${handle}: off on`),
    "ctl key: off on",
    `rule odd: require ${parity} when key is on`,
  ];
  const { program, procedure, system } = micro(lines.join("\n"), {
    begins: [parity],
    ends: [],
    steps: [set("key on")],
  });
  const model = buildModel(program, system, procedure, system.tails[0]!);
  const verdicts = Array.from({ length: 200 }, (_, index) => {
    const context = contextOf(program, procedure, model, { nodes: 10 + 5 * index });
    const query = queryOf(context, questionOf(model, model.rules[0]!));
    return { plain: plainly(context, query), asked: ask(context, query).verdict };
  });
  expect(verdicts.filter(({ plain, asked }) => plain === "holds" && asked !== "holds")).toEqual([]);
  expect(verdicts.some(({ plain, asked }) => plain === "out of nodes" && asked === "holds")).toBe(true);
  expect(verdicts[0]!.asked).toBe("unproved");
});

test("times too far apart to count in one step are owned up to", () => {
  const { program } = micro("ctl c: off on\neq e: x y; x>y when c is on takes 7\nrule r: never e is y and c is off", {
    begins: [],
    ends: [],
    steps: [set("c on"), wait(720_000)],
  });
  const { findings, proofs } = proveProgram(program);
  expect(findings.map(({ code }) => code)).toEqual([UNPROVED.code]);
  expect(findings[0]!.message).toContain("12000 min counted in steps of");
  expect(proofs.flatMap(({ rules }) => rules.map(({ verdict }) => verdict))).toEqual(["unproved"]);
});

/** One search, put as it is. */
function plainly(context: Context, query: Query): string {
  try {
    return firstSearch(context, query).run().breaches.length === 0 ? "holds" : "violated";
  } catch (error) {
    if (error instanceof NodeLimit) return "out of nodes";
    throw error;
  }
}

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
