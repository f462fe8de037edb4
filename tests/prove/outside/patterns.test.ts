import { describe, expect, test } from "vitest";
import { proveProcedure } from "../../../src/prove/prove.js";
import { interpret } from "../../oracle/interpreter.js";
import { type Micro, micro, set } from "../../support/micro.js";
import { PATTERNS, SCOPES, VERDICTS } from "./pattern-table.js";

/**
 * A trace becomes a straight card over one control whose positions are sets of letters. The rules count what *becomes*
 * true, the formulas what *is*: so between two states stands one in which no letter is true (for universality: P alone),
 * which changes no formula's verdict and lets every state come true anew.
 */
type Pattern = (typeof PATTERNS)[number];
type Scope = (typeof SCOPES)[number];

const FORMS: Readonly<Record<Pattern, string>> = {
  absence: "never p",
  universality: "always p",
  existence: "require p no-later-than end",
  precedence: "require s before p",
  response: "require s after p no-later-than end",
};
const BOUNDS: Readonly<Record<Scope, string>> = {
  global: "",
  "before R": " only-until r",
  "after Q": " only-after q",
  "between Q and R": " only-after q only-until r",
  "after Q until R": " only-after q only-until r",
};

const cases = VERDICTS.map(([trace, bits]) => ({ trace, verdicts: bits.split(" ") }));

describe("the rules agree with the temporal patterns that they are named after", () => {
  test.each(cases)("$trace", ({ trace, verdicts }) => {
    const states = trace.split(";").map((state) => (state === "-" ? "" : state));
    const expected: Record<string, string> = {};
    PATTERNS.forEach((pattern, row) => {
      SCOPES.forEach((scope, column) => {
        if (comparable(pattern, scope, states))
          expected[idOf(pattern, scope)] = verdicts[row]![column] === "1" ? "holds" : "violated";
      });
    });
    const walked: Record<string, string> = {};
    const proved: Record<string, string> = {};
    for (const patterns of [["universality"], ["absence", "existence", "precedence", "response"]] as const) {
      const card = cardOf(states, patterns);
      for (const [rule, verdict] of interpret(card.program, card.procedure, { rulesOnly: true }).verdicts)
        walked[rule] = verdict;
      for (const { rule, verdict } of proveProcedure(card.program, card.procedure).proof.rules) proved[rule] = verdict;
    }
    expect(pick(walked, expected)).toEqual(expected);
    expect(pick(proved, expected)).toEqual(expected);
  });

  test("on most of the table", () => {
    const compared = cases.flatMap(({ trace }) =>
      PATTERNS.flatMap((pattern) => SCOPES.filter((scope) => comparable(pattern, scope, trace.split(";")))),
    );
    expect(compared.length).toBeGreaterThan(0.6 * cases.length * PATTERNS.length * SCOPES.length);
  });
});

/**
 * Where rule and formula do not mean the same, and are not compared:
 * - before R, between Q and R: the formulas are vacuous where R never comes; a rule's scope is then open to the end.
 * - precedence after Q: the formula is content with any Q after which S comes first; the rule counts from the first.
 * - a Q inside an open scope starts the formula anew; the rule's scope is open already.
 * - existence and response up to R: the rule takes what comes at the very moment of R as in time, the formula does not.
 */
function comparable(pattern: Pattern, scope: Scope, states: readonly string[]): boolean {
  const q = states.filter((state) => state.includes("Q"));
  if (scope === "global") return true;
  if (scope === "before R") return states.some((state) => state.includes("R")) && !answersAtR(pattern, states);
  if (scope === "after Q") return pattern !== "precedence" || q.length <= 1;
  let open = false;
  for (const state of states) {
    if (open && state.includes("Q") && !state.includes("R")) return false;
    open = (open || state.includes("Q")) && !state.includes("R");
  }
  if (scope === "between Q and R" && open) return false;
  return !answersAtR(pattern, states);
}

function answersAtR(pattern: Pattern, states: readonly string[]): boolean {
  const answer = pattern === "existence" ? "P" : pattern === "response" ? "S" : undefined;
  return answer !== undefined && states.some((state) => state.includes("R") && state.includes(answer));
}

function cardOf(states: readonly string[], patterns: readonly Pattern[]): Micro {
  const between = patterns.includes("universality") ? "P" : "";
  const visited = states.flatMap((state) => [between, state]);
  const all = [...new Set([...visited, "PQRST"])];
  const letter = (name: string) =>
    `condition ${name.toLowerCase()}: w is ${all
      .filter((state) => state.includes(name))
      .map(positionOf)
      .join("/")}`;
  const rules = patterns.flatMap((pattern) =>
    SCOPES.map((scope) => `rule ${idOf(pattern, scope)}: ${FORMS[pattern]}${BOUNDS[scope]}`),
  );
  const world = [`ctl w: ${all.map(positionOf).join(" ")}`, ...["P", "Q", "R", "S"].map(letter), ...rules].join("\n");
  const [first = "", ...rest] = visited;
  return micro(world, {
    begins: [`w is ${positionOf(first)}`],
    steps: rest.map((state) => set(`w ${positionOf(state)}`)),
  });
}

function positionOf(state: string): string {
  return `x${state.toLowerCase()}`;
}

function idOf(pattern: Pattern, scope: Scope): string {
  return `${pattern}-${scope.toLowerCase().replaceAll(" ", "-")}`;
}

function pick(
  found: Readonly<Record<string, string>>,
  wanted: Readonly<Record<string, string>>,
): Record<string, string> {
  return Object.fromEntries(Object.keys(wanted).map((key) => [key, found[key] ?? "not judged"]));
}
