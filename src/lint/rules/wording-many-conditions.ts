import { type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Condition } from "../../program/condition.js";
import { cardWith, systemWith } from "../example.js";
import { type LintRule, subjectOf } from "../rule.js";
import { judgedAt } from "../walk.js";

const kind: FindingKind = {
  code: "wording/many-conditions",
  severity: "warning",
  summary: "A line joins more than four conditions with `and`.",
  why:
    "Nobody holds five conditions in mind while looking for the fifth. Based on NUREG-0899, as quoted elsewhere: at most " +
    "four conditions joined by AND, more go in a list.",
  bad: looking("pump is on and suction is open and running is lit and well >= 10 L and well <= 300 L"),
  good: looking("suction is open and running is lit and well >= 10 L and well <= 300 L"),
};

const MOST = 4;

/** W7 of the guidance. A name, and `all` or `any` of a group, are one condition: that is how they are read. */
export const manyConditions: LintRule = {
  kind,
  step: (step, context) =>
    judgedAt(step).flatMap((condition) => {
      const count = widestAnd(condition);
      if (count <= MOST) return [];
      const message = `${count} conditions are joined by \`and\` here; ${MOST} are the most that a line should hold`;
      const help = [
        "look at some of them on lines of their own, or give a name under `conditions` to what belongs together",
      ];
      return [finding(kind, condition.span, message, { help, subject: subjectOf(context, step) })];
    }),
};

/** The most conditions that one `and` joins. */
function widestAnd(condition: Condition): number {
  if (condition.kind === "not") return widestAnd(condition.of);
  if ((condition.kind !== "and" && condition.kind !== "or") || condition.quantifier) return 1;
  const inner = Math.max(1, ...condition.of.map(widestAnd));
  return condition.kind === "and" ? Math.max(joined(condition), inner) : inner;
}

function joined(condition: Condition): number {
  if (condition.kind !== "and" || condition.quantifier) return 1;
  return condition.of.reduce((sum, part) => sum + joined(part), 0);
}

function looking(condition: string) {
  const running = "  running: { label: PUMP ON, colour: green, lit-when: pump is on }";
  const steps = `- check: ${condition}\n  if-not: { set-aside: Call the mate. }`;
  return cardWith(steps, { system: systemWith(running) });
}
