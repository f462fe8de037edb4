import type { IfNotLit, Option, Step, Way } from "../../program/procedure.js";
import { durationOf, nameOf } from "../card/names.js";
import { capitalised, sentenceOf } from "../card/wording.js";
import { type Exit, type Flow, type FlowNode, goesOn, type SequenceFlow } from "./flow.js";
import { commonOf, headed, NOTHING, node, one, type Site, sequence, shape } from "./nodes.js";
import { textOf } from "./words.js";

export function ifFlow(site: Site, step: Step & { kind: "if" }): SequenceFlow {
  const yes = site.flowOf(site, step.then);
  const no = site.flowOf(site, step.else);
  return decisionFlow(
    site,
    step,
    { id: step.name, condition: sentenceOf(site.words, step.condition), ...LOOK },
    { yes, no },
  );
}

export function checkFlow(site: Site, step: Step & { kind: "check" }): SequenceFlow {
  if (step.ifNot.length === 0) return one(site, step);
  const question = {
    id: step.name,
    condition: sentenceOf(site.words, step.condition),
    lead: "Check:",
    short: "Is it so?",
  };
  return decisionFlow(site, step, question, { yes: NOTHING, no: site.flowOf(site, step.ifNot) });
}

export function waitForFlow(site: Site, step: Step & { kind: "wait-for" }): SequenceFlow {
  const meanwhile = headed(site.flowOf(site, step.steps), "Meanwhile");
  if (step.within === undefined) return sequence([meanwhile, ...one(site, step).of]);
  const condition = `${sentenceOf(site.words, step.condition)}, within ${durationOf(step.within)}`;
  const question = { id: step.name, condition, lead: "Wait until", short: "In time?" };
  return sequence([meanwhile, decisionFlow(site, step, question, { yes: NOTHING, no: site.flowOf(site, step.ifNot) })]);
}

/** What must be lit as a box, then whether it was: one way on, and one to the right for each light that an `if-not` names. */
export function observeFlow(site: Site, step: Step & { kind: "observe" }): SequenceFlow {
  const box = one(site, step);
  if (step.ifNot.length === 0) return box;
  const decision = node(`${step.name}#seen`, "decision", ["As listed?"]).node;
  const rights = step.ifNot.map((way): Exit => ({ label: notLitLabel(site, way), flow: site.flowOf(site, way.steps) }));
  return sequence([box, { kind: "fork", decision, down: { label: "Yes", flow: NOTHING }, rights }]);
}

function notLitLabel(site: Site, way: IfNotLit): string {
  return way.light ? `No: ${nameOf(site.words.system, way.light)}` : "No";
}

export function decideFlow(
  site: Site,
  step: Step & { kind: "decide" },
  ways: readonly Way[],
  index: number,
): SequenceFlow {
  const [way, ...rest] = ways;
  if (!way) return sequence([node(`${step.name}#none`, "aside", ["No way is given for this"])]);
  if (!way.condition) return site.flowOf(site, way.steps);
  const no = decideFlow(site, step, rest, index + 1);
  const yes = site.flowOf(site, way.steps);
  const id = index === 0 ? step.name : `${step.name}#${index + 1}`;
  return decisionFlow(site, step, { id, condition: sentenceOf(site.words, way.condition), ...LOOK }, { yes, no });
}

export function chooseFlow(site: Site, step: Step & { kind: "choose" }, options: readonly Option[]): Flow {
  const exits = options.map((option): Exit => ({ label: option.title, flow: site.flowOf(site, option.steps) }));
  const decision = shape(site, step, "decision", textOf(site.words, step)).node;
  return { kind: "fork", decision, down: exits[0] ?? { label: "", flow: NOTHING }, rights: exits.slice(1) };
}

export function repeatFlow(site: Site, step: Step & { kind: "repeat" }): SequenceFlow {
  const body = site.flowOf(site, step.steps);
  if (!goesOn(body)) return body;
  const question = step.until ? sentenceOf(site.words, step.until) : step.times ? `${step.times} times done` : "Enough";
  const again = step.every ? `No: wait ${durationOf(step.every)}` : "No";
  const decision = shape(site, step, "decision", [`${capitalised(question)}?`]).node;
  const head = node(`${step.name}#head`, "joint", []).node;
  return sequence([{ kind: "loop", head, body, decision, again, leave: "Yes" }]);
}

export function watchFlow(site: Site, step: Step & { kind: "watch" }): SequenceFlow {
  const box = shape(site, step, "process", textOf(site.words, step));
  const answer = site.flowOf(site, step.ifNot);
  if (answer.of.length === 0) return sequence([box]);
  const back = goesOn(answer) ? [node(`${step.name}#back`, "end", ["Go on where it was left"])] : [];
  const right: Exit = { label: "If not", flow: sequence([...answer.of, ...back]), standing: true };
  return sequence([{ kind: "fork", decision: box.node, down: { label: "", flow: NOTHING }, rights: [right] }]);
}

/** What a decision asks; where that is too long for a diamond, `lead` begins the box before it and `short` stands in the diamond. */
interface Question {
  readonly id: string;
  readonly condition: string;
  readonly lead: string;
  readonly short: string;
}

interface Ways {
  readonly yes: SequenceFlow;
  readonly no: SequenceFlow;
}

const LOOK = { lead: "Look:", short: "Is it so?" };
const LONGEST_QUESTION = 72;

function decisionFlow(site: Site, step: Step, question: Question, ways: Ways): SequenceFlow {
  const { id, condition, lead, short } = question;
  if (condition.length <= LONGEST_QUESTION) {
    const flow = fork(id, `${capitalised(condition)}?`, ways);
    return sequence([{ ...flow, decision: { ...flow.decision, ...commonOf(site, step) } }]);
  }
  const box = shape(site, step, "process", [`${lead} ${condition}`]);
  return sequence([{ ...box, node: { ...box.node, id: `${id}#look` } }, fork(id, short, ways)]);
}

/** The side that ends leaves to the right, so that what goes on goes straight on; else Yes is down. */
export function fork(id: string, text: string, ways: Ways): Flow & { kind: "fork" } {
  const decision: FlowNode = node(id, "decision", [text]).node;
  const yes = { label: "Yes", flow: ways.yes };
  const no = { label: "No", flow: ways.no };
  const swap = !goesOn(ways.yes) && goesOn(ways.no);
  return { kind: "fork", decision, down: swap ? no : yes, rights: [swap ? yes : no] };
}
