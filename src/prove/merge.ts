import { type Finding, finding, type Label } from "../diagnostics/finding.js";
import type { Transitions } from "../machine/transitions.js";
import type { Procedure, Step } from "../program/procedure.js";
import type { Program } from "../program/program.js";
import { ruleIsFor } from "../program/program.js";
import type { Tail } from "../program/system.js";
import type { Proof, Verdict } from "../program/verdict.js";
import { innerSteps, walkSteps } from "../program/walk.js";
import { NEVER_REACHED, NEVER_TAKEN, NO_EFFECT } from "./kinds.js";
import { isSameLine, ownSteps } from "./own.js";

/** What one tail gave. */
export interface TailResult {
  readonly tail: Tail;
  readonly hasStart: boolean;
  readonly findings: readonly Finding[];
  readonly rules: ReadonlyMap<string, Verdict>;
  readonly startsLog10: number;
  /** Absent where the limit came first: then nothing is told of what comes about on no tail. */
  readonly reached?: Reached;
  /** Names of variables that some act or change of this procedure can change; unknown where the limit came first. */
  readonly changing: ReadonlySet<string> | "unknown";
  /** Where only verdicts are asked for: by rule, the transitions among which nothing breaks it. */
  readonly held?: ReadonlyMap<string, Transitions>;
}

/** What is there on a tail and can come about: reported only where it can on no tail. */
export interface Reached {
  readonly steps: ReadonlyMap<Step, boolean>;
  /** Steps whose failing branch can be taken, or cannot. */
  readonly branches: ReadonlyMap<Step, boolean>;
  /** Steps that move something, or never do. */
  readonly moves: ReadonlyMap<Step, boolean>;
}

/** One finding for one cause: what several tails share is told once, with the tails where it is not all of them. */
export function mergeTails(
  program: Program,
  procedure: Procedure,
  results: readonly TailResult[],
): { readonly findings: readonly Finding[]; readonly proof: Proof } {
  const groups = new Map<string, { readonly findings: Finding[]; readonly tails: string[] }>();
  for (const { tail, findings } of results) {
    for (const one of findings) {
      const key = keyOf(one);
      const present = groups.get(key) ?? { findings: [], tails: [] };
      present.findings.push(one);
      if (!present.tails.includes(tail.name)) present.tails.push(tail.name);
      groups.set(key, present);
    }
  }
  const all = [...groups.values()].map(({ findings, tails }) => {
    const one = shortestOf(findings);
    return tails.length === results.length ? one : { ...one, tails };
  });
  const started = results.filter((result) => result.hasStart);
  const rules = program.rules
    .filter((rule) => ruleIsFor(rule, procedure))
    .map((rule) => ({ rule: rule.id, verdict: worst(started.map((result) => result.rules.get(rule.id) ?? "holds")) }));
  const proof: Proof = {
    procedure: procedure.id,
    tails: started.map((result) => result.tail.name),
    rules,
    startsLog10: Math.max(0, ...started.map((result) => result.startsLog10)),
  };
  return { findings: [...all, ...nowhere(procedure, results)], proof };
}

/** What is one cause wherever it shows is told at one step; the rest step by step. */
function keyOf({ code, subject, message, severity }: Finding): string {
  const { procedure, step, rule, thing } = subject;
  const place = /^(order\/|system\/|duty\/|prohibit\/broken)/.test(code) ? [] : [step, message];
  return JSON.stringify([code, severity, procedure, rule, thing, ...place]);
}

/** Of what several tails tell of one cause, the shortest story; the steps that others blame stand beside it. */
function shortestOf(findings: readonly Finding[]): Finding {
  const chosen = findings.reduce((best, one) => (isShorter(one, best) ? one : best));
  const marked = new Set([chosen.at.start, ...chosen.labels.map((label) => label.at.start)]);
  const labels = findings.flatMap((one): readonly Label[] => {
    if (marked.has(one.at.start)) return [];
    marked.add(one.at.start);
    return [{ at: one.at, text: "so it can here, on other tails" }];
  });
  return labels.length === 0 ? chosen : { ...chosen, labels: [...chosen.labels, ...labels] };
}

function isShorter(one: Finding, other: Finding): boolean {
  const [a, b] = [one.moments ?? 0, other.moments ?? 0];
  return a < b || (a === b && one.at.file === other.at.file && one.at.start < other.at.start);
}

function worst(verdicts: readonly Verdict[]): Verdict {
  if (verdicts.includes("violated")) return "violated";
  return verdicts.includes("unproved") ? "unproved" : "holds";
}

/** What comes about on no tail: of steps that cannot be reached the first of a stretch. */
function nowhere(procedure: Procedure, results: readonly TailResult[]): readonly Finding[] {
  const all = results.flatMap(({ reached }) => reached ?? []);
  if (!results.some((result) => result.hasStart) || all.length < results.length) return [];
  const order = ownSteps(procedure.steps);
  const never = (
    pick: (reached: Reached) => ReadonlyMap<Step, boolean>,
    steps: Iterable<Step> = new Set(all.flatMap((reached) => [...pick(reached).keys()])),
  ): readonly Step[] => {
    const can = (step: Step) => all.some((reached) => pick(reached).get(step) === true);
    const cannot = [...steps].filter((step) => !can(step));
    const others = [...steps].filter((step) => step.name.includes(":") && can(step));
    return cannot.filter(
      (step, index) =>
        !others.some((other) => isSameLine(step, other)) && cannot.findIndex((one) => isSameLine(step, one)) === index,
    );
  };
  const unreached = new Set(never((reached) => reached.steps, order));
  const neverTaken = never((reached) => reached.branches).filter(
    (step) => step.kind === "check" && !unreached.has(step),
  );
  const told = order.filter(except(neverTaken, order));
  const places = new Map([...walkSteps(procedure.steps)].map((step, index) => [step.name, index]));
  const cut = firstEnd(results, places);
  const firsts = told.filter(
    (step, index) =>
      unreached.has(step) && !(index > 0 && unreached.has(told[index - 1]!)) && places.get(step.name)! <= cut,
  );
  const subject = (step: Step) => ({ procedure: procedure.id, step: step.name });
  return [
    ...firsts.map((step) =>
      finding(NEVER_REACHED, step.verb, "no path comes to this step", {
        subject: subject(step),
        help: ["leave it out, or look at what rules it out before it"],
      }),
    ),
    ...neverTaken.map((step) =>
      finding(NEVER_TAKEN, step.verb, "this check cannot fail", {
        subject: subject(step),
        help: ["leave it out, unless a second look is wanted"],
      }),
    ),
    ...never((reached) => reached.moves)
      .filter((step) => !unreached.has(step))
      .map((step) =>
        finding(NO_EFFECT, step.verb, "what this step sets stands there already in every case", {
          subject: subject(step),
          help: ["leave it out, or make it a `verify`"],
        }),
      ),
  ];
}

/** Are not told by themselves: the branches of checks that cannot fail, and answers to what only a failure brings. */
function except(neverTaken: readonly Step[], order: readonly Step[]): (step: Step) => boolean {
  const watches = order.filter((step) => step.kind === "watch");
  const inside = new Set([...neverTaken, ...watches].flatMap((step) => [...walkSteps(innerSteps(step).at(-1) ?? [])]));
  return (step) => !inside.has(step);
}

/** The place in the text of the first step at which a path is found to end: what is not reached after it has that cause. */
function firstEnd(results: readonly TailResult[], places: ReadonlyMap<string, number>): number {
  const ends = results.flatMap((result) =>
    result.findings.filter((one) => ENDS_A_PATH.has(one.code) && one.severity === "error"),
  );
  const steps = ends.flatMap(({ subject, also }) => [subject.step ?? "", ...(also ?? [])]);
  return Math.min(Number.POSITIVE_INFINITY, ...steps.map((step) => places.get(step) ?? -1));
}

/** Findings that end a path. */
const ENDS_A_PATH = new Set([
  "flow/no-start",
  "system/never-settles",
  "flow/waits-for-ever",
  "flow/never-ends",
  "flow/gap",
  "flow/needs",
  "flow/begins",
]);
