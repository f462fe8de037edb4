import {
  type Finding,
  type FindingKind,
  finding,
  type Label,
  type Severity,
  type StoryLine,
} from "../diagnostics/finding.js";
import { type Expression, evaluate, FALSE, or, variablesOf } from "../machine/expression.js";
import type { End, Node } from "../machine/graph/graph.js";
import type { LoweredRule } from "../machine/model.js";
import { assigned } from "../machine/operation.js";
import { EMPTY, NodeLimit, type Ref } from "../machine/symbolic/bdd.js";
import { OutOfTime, type Search } from "../machine/symbolic/search.js";
import { type Literal, primeImplicant } from "../machine/symbolic/trace.js";
import type { Transitions } from "../machine/transitions.js";
import { thingsNamed } from "../machine/world/world.js";
import type { Condition } from "../program/condition.js";
import type { Step } from "../program/procedure.js";
import type { Rule } from "../program/rule.js";
import type { Verdict } from "../program/verdict.js";
import { walkCondition } from "../program/walk.js";
import { ask, askOfActs, askVerdict, firstSearch, singleWays, type Violated } from "./answer.js";
import type { Context } from "./context.js";
import { ORDER_ALREADY, ORDER_WITHIN, RULE_ORDER, UNPROVED } from "./kinds.js";
import { type Question, questionOf } from "./monitors.js";
import { guiltyOf, isByGauge, placeAfter } from "./path.js";
import type { Query } from "./query.js";
import { storyOf } from "./story.js";
import { durationOf, nameOf, quote, startWords, stepName } from "./words.js";
import { wrongdoers } from "./wrongdoers.js";

export interface RuleResult {
  readonly verdict: Verdict;
  readonly findings: readonly Finding[];
  /** Where only verdicts are asked for: the transitions among which nothing breaks the rule. */
  readonly among?: Transitions;
}

/**
 * Proves one rule of one procedure on one tail. A limit that is hit anywhere on the way, in telling too, leaves it unproved. `like`: where
 * only the verdict is asked for, the transitions among which the rule held of a procedure much like this one.
 */
export function proveRule(context: Context, lowered: LoweredRule, like?: Transitions): RuleResult {
  try {
    return context.limits.verdictsOnly ? verdictOf(context, lowered, like) : answerRule(context, lowered);
  } catch (error) {
    if (error instanceof NodeLimit || error instanceof OutOfTime) return unproved(context, lowered, []);
    throw error;
  }
}

/** What a rule asks of the moments and the ends of a procedure. */
export function queryOf(context: Context, question: Question): Query {
  const ends = context.model.graph.nodes.filter((node) => node.end && node.end.kind !== "gap");
  const owedAt = (node: Node) => (node.end?.kind === "finish" ? question.atEnd : question.atLeaving);
  const atPlace = new Map(question.atEnd === FALSE ? [] : ends.map((node) => [node.id, owedAt(node)]));
  const names = [question.atEnd, question.atLeaving, question.monitor.broken, question.alreadySo];
  return { monitors: [question.monitor], atPlace, names };
}

function answerRule(context: Context, lowered: LoweredRule): RuleResult {
  const question = questionOf(context.model, lowered);
  const query = queryOf(context, question);
  const first = firstSearch(context, query);
  const already = alreadySo(context, lowered, question.alreadySo, first);
  const answer = askOfActs(context, query, first);
  if (answer.verdict === "violated") {
    const told = violation(context, lowered, answer, or(...query.atPlace.values()), query);
    return told ? { verdict: "violated", findings: [...already, told] } : unproved(context, lowered, already);
  }
  if (answer.verdict === "unproved") return unproved(context, lowered, already);
  return { verdict: "holds", findings: already };
}

/** Is it broken by an act or a change, untold? */
function verdictOf(context: Context, lowered: LoweredRule, like?: Transitions): RuleResult {
  const query = { ...queryOf(context, questionOf(context.model, lowered)), byActs: true };
  const answer = like ? { verdict: askVerdict(context, query, like) } : ask(context, query);
  const { rule } = lowered;
  switch (answer.verdict) {
    case "holds":
      return { verdict: "holds", findings: [], ...("among" in answer ? { among: answer.among } : {}) };
    case "unproved":
      return unproved(context, lowered, []);
    case "violated": {
      const { id: procedure } = context.procedure;
      const told = finding(kindOf(rule), beginsSpan(context), sentence(rule), {
        subject: { procedure, rule: rule.id },
      });
      return { verdict: "violated", findings: [told] };
    }
  }
}

function kindOf({ form, severity }: Rule): FindingKind {
  const isLate = form.kind === "after" && form.within !== undefined;
  return { ...(isLate ? ORDER_WITHIN : RULE_ORDER.get(form.kind)!), severity };
}

function unproved(context: Context, { rule }: LoweredRule, already: readonly Finding[]): RuleResult {
  const message = `rule \`${rule.id}\` is unproved for \`${context.procedure.id}\`: the limit came first`;
  const told = finding(UNPROVED, context.procedure.span, message, {
    help: ["give it more time with --time-limit, or a smaller model"],
    subject: { procedure: context.procedure.id, rule: rule.id },
  });
  return { verdict: "unproved", findings: [...already, told] };
}

function violation(
  context: Context,
  lowered: LoweredRule,
  answer: Violated,
  atEnd: Expression,
  query: Query,
): Finding | undefined {
  const { path } = answer;
  const { rule } = lowered;
  const last = path.steps.at(-1);
  const { story, end, blamed, late } = happening(rule, answer, atEnd);
  if (!story) return undefined;
  const kind = late ? ORDER_WITHIN : RULE_ORDER.get(rule.form.kind)!;
  const cause = last?.transition.cause;
  const byGauge = isByGauge(path);
  const doers = byGauge ? { acts: [], others: [] } : wrongdoers(context, query, answer, blamed);
  const others = doers.acts.filter((step) => step !== blamed);
  const severity: Severity = byGauge ? "info" : rule.severity;
  return finding({ ...kind, severity }, blamed?.verb ?? beginsSpan(context), sentence(rule, end?.words), {
    remark: blamed ? remarkOf(cause?.kind === "change", late, end?.words) : "what the last crew left",
    labels: [
      { at: rule.span, text: demandOf(rule) },
      ...others.map((step): Label => ({ at: step.verb, text: "can break it first as well" })),
    ],
    help: [...helpFor(context, rule, blamed, answer), ...lookFirst(context, lowered, answer, story.literals)],
    story: story.lines,
    moments: path.moments,
    also: [...others, ...doers.others].map((step) => step.name),
    subject: { procedure: context.procedure.id, rule: rule.id, ...(blamed ? { step: blamed.name } : {}) },
  });
}

/** How a rule comes to be broken: where, by whom, and the story of it, if a run on single values confirms it. */
function happening(rule: Rule, { search, path, relevant }: Violated, atEnd: Expression) {
  const wrong = path.endsAtMoment ? path.steps.at(-1)!.transition.broken : atEnd;
  const end = path.endsAtMoment ? undefined : endOf(placeAfter(search, path).end);
  const blamed = guiltyOf(search, path);
  const late = rule.form.kind === "after" && rule.form.within !== undefined;
  const ending = end ? endingOf(rule, end) : late ? overdue(rule, blamed) : undefined;
  const story = storyOf(search, path, {
    isWrong: (state) => evaluate(wrong, state),
    relevant,
    ...(ending ? { ending } : { outcome: outcomeOf(rule) }),
  });
  return { story, end, blamed, late };
}

/** The verdict with a story where it is broken, and nothing else of what a finding tells. */
export function breakOf(
  context: Context,
  lowered: LoweredRule,
): { readonly verdict: Verdict; readonly story?: readonly StoryLine[] } {
  try {
    const query = queryOf(context, questionOf(context.model, lowered));
    const answer = askOfActs(context, query);
    if (answer.verdict !== "violated") return { verdict: answer.verdict };
    const { story } = happening(lowered.rule, answer, or(...query.atPlace.values()));
    return story ? { verdict: "violated", story: story.lines } : { verdict: "unproved" };
  } catch (error) {
    if (error instanceof NodeLimit || error instanceof OutOfTime) return { verdict: "unproved" };
    throw error;
  }
}

/** The last line of what is still owed at an end. */
function endingOf({ form }: Rule, end: RunEnd): StoryLine | undefined {
  if (form.kind !== "after") return undefined;
  const what = `${end.short} without ${quote(form.condition)}`;
  return end.step ? { when: stepName(end.step), what, at: end.step.verb } : { when: "end", what };
}

/** The last line of what comes too late. */
function overdue({ form }: Rule, blamed: Step | undefined): StoryLine | undefined {
  if (form.kind !== "after" || form.within === undefined || !blamed) return undefined;
  const what = `by the stated times more than ${durationOf(form.within)} without ${quote(form.condition)}`;
  return { when: stepName(blamed), what, at: blamed.verb };
}

function remarkOf(later: boolean, late: boolean, end: string | undefined): string {
  if (end) return `left behind when ${end}`;
  if (late) return "too late by now";
  return later ? "from here on it can happen at any moment" : "at this moment";
}

interface RunEnd {
  readonly step: Step | undefined;
  /** "the card is set aside at step 7". */
  readonly words: string;
  /** "set aside". */
  readonly short: string;
}

/** How the run ended that owes something. */
function endOf(end: End | undefined): RunEnd {
  if (end && (end.kind === "go-to" || end.kind === "set-aside")) {
    const verb = end.kind === "go-to" ? "left for another" : "set aside";
    return { step: end.step, words: `the card is ${verb} at ${stepName(end.step)}`, short: verb };
  }
  return { step: undefined, words: "the card is finished", short: "finished" };
}

function sentence(rule: Rule, end?: string): string {
  const fact = rule.says ? rule.says.replace(/\.$/, "") : factOf(rule);
  return `rule \`${rule.id}\` can be broken${end ? ` when ${end}` : ""}: ${fact}`;
}

function factOf({ form }: Rule): string {
  switch (form.kind) {
    case "never":
      return `${quote(form.condition)} can come about`;
    case "always":
      return `${quote(form.condition)} can cease to be so`;
    case "when":
      return `${quote(form.trigger)} can come about without ${quote(form.condition)}`;
    case "while":
      return `${quote(form.trigger)} can be so without ${quote(form.condition)}`;
    case "before":
      return `${quote(form.trigger)} can come about before ${quote(form.condition)}`;
    case "at-most":
      return `${quote(form.trigger)} can come about more than ${timesOf(form.times)}`;
    case "after":
      if (form.within !== undefined) return `${quote(form.condition)} can come later than ${durationOf(form.within)}`;
      if (form.deadline === "end") return `${quote(form.condition)} can be left undone`;
      return `${quote(form.deadline)} can come about before ${quote(form.condition)}`;
  }
}

/** What the last act comes to, where its own words do not say it: it moves a handle, and the rule is about an effect. */
function outcomeOf({ form }: Rule): string {
  switch (form.kind) {
    case "never":
      return soThat(form.condition);
    case "always":
      return soThat(form.condition, " no longer");
    case "when":
    case "while":
      return soThat(form.trigger, ` without ${quote(form.condition)}`);
    case "before":
      return soThat(form.trigger, ` before ${quote(form.condition)}`);
    case "at-most":
      return soThat(form.trigger, " once too often");
    case "after":
      return form.deadline === "end" ? "" : soThat(form.deadline, ` before ${quote(form.condition)}`);
  }
}

/** Nothing where the act or the change itself says it. */
function soThat(what: Condition, tail = ""): string {
  return what.kind === "is" ? "" : `${quote(what)}${tail}`;
}

function timesOf(times: number): string {
  return times === 1 ? "once" : `${times} times`;
}

/** What the rule asks for, with the stretch in which it holds. */
function demandOf(rule: Rule): string {
  const { onlyAfter, onlyUntil } = rule.scope;
  const from = onlyAfter ? `, only after ${quote(onlyAfter)}` : "";
  const until = onlyUntil ? `, only until ${quote(onlyUntil)}` : "";
  return `${formWords(rule)}${from}${until}`;
}

function formWords({ form }: Rule): string {
  switch (form.kind) {
    case "never":
      return `never ${quote(form.condition)}`;
    case "always":
      return `always ${quote(form.condition)}`;
    case "at-most":
      return `at most ${timesOf(form.times)} ${quote(form.trigger)}`;
    case "after": {
      const within = form.within === undefined ? "" : ` within ${durationOf(form.within)}`;
      const after = form.trigger ? ` after ${quote(form.trigger)}` : "";
      const by = form.deadline === "end" ? "the end" : quote(form.deadline);
      return `needs ${quote(form.condition)}${within}${after}${within ? "" : `, no later than ${by}`}`;
    }
    default:
      return `needs ${quote(form.condition)} ${form.kind} ${quote(form.trigger)}`;
  }
}

function helpFor(context: Context, { form }: Rule, blamed: Step | undefined, answer: Violated): readonly string[] {
  const wanted = "condition" in form ? form.condition : form.trigger;
  const checked = [...walkCondition(wanted)].find((part) => part.kind === "checked");
  const place = blamed ? `before ${stepName(blamed)}` : "first";
  if (checked?.kind === "checked") {
    const what = quote(checked.of);
    if (!isNeverSo(context, checked.of, answer)) return [`verify or check ${what} ${place}`];
    return [`by then it is not so: see to it that ${what} ${place}, and check it, or do later what makes it otherwise`];
  }
  switch (form.kind) {
    case "never":
      return [`rule it out ${place}, or take for granted in \`begins\` what rules it out`];
    case "always":
    case "while":
      return [`keep it so that ${quote(wanted)}${blamed ? ` at ${stepName(blamed)}` : ""}, or do that step later`];
    case "after":
      if (form.within !== undefined) return [`see to it that ${quote(wanted)} sooner, or mend the stated times`];
      if (form.deadline !== "end") return [`see to it that ${quote(wanted)} ${place}`];
      return [`see to it that ${quote(wanted)} on every way out, set-asides included`];
    case "at-most":
      return [`leave one out, or bound the repetition: no more than ${timesOf(form.times)}`];
    default:
      return [`see to it that ${quote(wanted)} ${place}, or take it for granted in \`begins\``];
  }
}

/** Does a condition hold in none of the states that are wrong? Then no look at it helps. */
function isNeverSo(context: Context, condition: Condition, { search, path }: Violated): boolean {
  const truth = context.model.world.lower(condition);
  if ([...variablesOf(truth)].some((variable) => !search.space.has(variable))) return false;
  return !search.space.factoring.meets(path.sets.at(-1)!, search.space.set(truth));
}

/** Controls that what sets off the rule asks about, and that stand there as the last crew left them. */
function lookFirst(
  context: Context,
  { trigger, condition }: LoweredRule,
  { path }: Violated,
  literals: readonly Literal[],
): readonly string[] {
  const asked = variablesOf(trigger ?? condition ?? FALSE);
  const moved = new Set(
    path.steps.flatMap(({ transition }) =>
      transition.cause.kind === "edge" ? transition.cause.edge.operations.flatMap(assigned) : [],
    ),
  );
  const left = literals.flatMap(({ variable }) =>
    variable.role.kind === "control" && asked.has(variable) && !moved.has(variable) ? [variable.role.thing] : [],
  );
  if (left.length === 0) return [];
  const names = left.map((control) => nameOf(context.model.world.system, control)).join(" and ");
  return [`or \`verify\` first how the last crew left ${names}`];
}

function beginsSpan(context: Context) {
  return context.procedure.begins[0]?.span ?? context.procedure.span;
}

/** The warning that the start itself can break the rule. */
function alreadySo(context: Context, lowered: LoweredRule, wrong: Expression, first: Search): readonly Finding[] {
  if (wrong === FALSE || startsIn(first, wrong) === EMPTY) return [];
  const { rule } = lowered;
  const search = singleWays(context, { monitors: [], names: [wrong, ...context.model.start] });
  if (startsIn(search, wrong) === EMPTY) return [];
  const literals = primeImplicant(search, search.space.set(wrong), search.start);
  const words = startWords(context.model.world.system, literals);
  const looks = firstLook(context, wrong);
  const message = `what the last crew left can break rule \`${rule.id}\` before anything is done`;
  return [
    finding(ORDER_ALREADY, rule.span, message, {
      remark: `already so with ${words.join(", ") || "any start"}`,
      labels: looks
        ? [{ at: looks.verb, text: "the first step that looks at it" }]
        : [{ at: context.procedure.span, text: "no step looks at it" }],
      help: [
        "take for granted in `begins` that it is not so, or let the rule speak of the effect instead of the handle",
      ],
      subject: { procedure: context.procedure.id, rule: rule.id, ...(looks ? { step: looks.name } : {}) },
    }),
  ];
}

function startsIn(search: Search, wrong: Expression): Ref {
  return search.space.bdd.and(search.start, search.space.set(wrong));
}

function firstLook(context: Context, wrong: Expression): Step | undefined {
  const names = new Set([...variablesOf(wrong)].map((variable) => variable.name));
  const steps = [...context.model.graph.entries.keys()];
  return steps.find((step) => {
    if (step.kind === "verify") return step.moves.some((move) => move.controls.some((control) => names.has(control)));
    if (step.kind === "check" || step.kind === "if")
      return thingsNamed(step.condition).some((thing) => names.has(thing));
    return false;
  });
}
