import type { Condition } from "../../program/condition.js";
import type { IfNotLit, Option, Procedure, Step, Way } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import { durationOf, joinWords, nameOf } from "../card/names.js";
import { everyStep } from "../card/walk.js";
import { capitalised, sentenceOf, type Words } from "../card/wording.js";
import { type Exit, type Flow, type FlowNode, goesOn, type Meeting, type SequenceFlow, type Shape } from "./flow.js";
import { letGoText, textOf } from "./words.js";

/** What the text of a shape needs to know of its surroundings. */
interface Site {
  readonly program: Program;
  readonly procedure: Procedure;
  readonly words: Words;
  /** Who does it is said at each step: the crew is more than one, and no lane says it already. */
  readonly sayWho: boolean;
  readonly heavy: boolean;
}

/** The procedure from its start to its ends as a flow. Parts stand in place; other procedures are one shape. */
export function flowOf(program: Program, procedure: Procedure, words: Words): SequenceFlow {
  const site: Site = { program, procedure, words, sayWho: severalAct(procedure), heavy: false };
  const start = node("start", "start", [procedure.title]);
  const body = stepsFlow(site, procedure.steps);
  const next = procedure.next ? [`Next: ${titleOf(program, procedure.next.procedure)}`] : [];
  const end = goesOn(body) ? [node("end", "end", ["End of procedure", ...next])] : [];
  return sequence([start, ...body.of, ...end]);
}

/** One who does all of it is named above the chart, and not at every shape. */
function severalAct(procedure: Procedure): boolean {
  return new Set(everyStep(procedure.steps).flatMap((step) => step.by)).size > 1;
}

function stepsFlow(site: Site, steps: readonly Step[]): SequenceFlow {
  let reached = true;
  const flows = steps.map((step) => {
    const flow = fitted(site, step, stepFlow(site, step));
    const drawn = reached ? flow : headed(flow, "Not reached");
    reached = goesOn(flow);
    return drawn;
  });
  return sequence(flows);
}

/** A step for some ships only: said above a single shape; several shapes are passed by on the other ships. */
function fitted(site: Site, step: Step, flow: SequenceFlow): SequenceFlow {
  if (!step.applies || flow.of.length === 0) return flow;
  const only = flow.of.length === 1 ? flow.of[0] : undefined;
  const condition = capitalised(sentenceOf(site.words, step.applies));
  if (only?.kind === "node")
    return sequence([{ ...only, node: { ...only.node, head: joined(only.node.head, condition) } }]);
  return sequence([fork(`${step.name}#fit`, `${condition}?`, step, { yes: flow, no: NOTHING })]);
}

function stepFlow(site: Site, step: Step): SequenceFlow {
  switch (step.kind) {
    case "section":
      return headed(stepsFlow(site, step.steps), `${step.number ? `${step.number}  ` : ""}${step.title}`);
    case "memory":
      return headed(stepsFlow({ ...site, heavy: true }, step.steps), "From memory");
    case "perform":
      return performFlow(site, step);
    case "hold":
      return holdFlow(site, step);
    case "check":
      return step.ifNot.length === 0
        ? one(site, step)
        : checkFlow(site, step, sentenceOf(site.words, step.condition), step.ifNot);
    case "wait-for":
      return waitForFlow(site, step);
    case "observe":
      return observeFlow(site, step);
    case "if":
      return decisionFlow(site, step, step.name, sentenceOf(site.words, step.condition), {
        yes: stepsFlow(site, step.then),
        no: stepsFlow(site, step.else),
      });
    case "decide":
      return decideFlow(site, step, step.ways, 0);
    case "choose":
      return sequence([chooseFlow(site, step, step.options)]);
    case "repeat":
      return repeatFlow(site, step);
    case "together":
      return togetherFlow(site, step);
    case "watch":
      return watchFlow(site, step);
    case "go-to":
      return sequence([{ ...shape(site, step, "end", [`Go to: ${titleOf(site.program, step.procedure)}`]) }]);
    case "finish":
      return sequence([shape(site, step, "end", textOf(site.words, step))]);
    case "set-aside":
      return sequence([shape(site, step, "aside", textOf(site.words, step))]);
    default:
      return one(site, step);
  }
}

function performFlow(site: Site, step: Step & { kind: "perform" }): SequenceFlow {
  if (step.target.kind === "part") return headed(stepsFlow(site, step.steps), capitalised(step.target.title));
  return sequence([shape(site, step, "predefined", [step.target.title])]);
}

function holdFlow(site: Site, step: Step & { kind: "hold" }): SequenceFlow {
  const inner = stepsFlow(site, step.steps);
  const held = shape(site, step, "process", textOf(site.words, step));
  const letGo = node(`${step.name}#let-go`, "process", [letGoText(site.words, step.moves)]);
  return sequence([held, inner, ...(inner.of.length > 0 && goesOn(inner) ? [letGo] : [])]);
}

function checkFlow(site: Site, step: Step, condition: string, ifNot: readonly Step[]): SequenceFlow {
  return decisionFlow(site, step, step.name, condition, { yes: NOTHING, no: stepsFlow(site, ifNot) });
}

function waitForFlow(site: Site, step: Step & { kind: "wait-for" }): SequenceFlow {
  const meanwhile = headed(stepsFlow(site, step.steps), "Meanwhile");
  if (step.within === undefined) return sequence([meanwhile, ...one(site, step).of]);
  const condition = `${sentenceOf(site.words, step.condition)}, within ${durationOf(step.within)}`;
  return sequence([meanwhile, checkFlow(site, step, condition, step.ifNot)]);
}

/** What must be lit as a box, then whether it was: one way on, and one to the right for each light that an `if-not` names. */
function observeFlow(site: Site, step: Step & { kind: "observe" }): SequenceFlow {
  const box = one(site, step);
  if (step.ifNot.length === 0) return box;
  const decision = node(`${step.name}#seen`, "decision", ["As listed?"]).node;
  const rights = step.ifNot.map((way): Exit => ({ label: notLitLabel(site, way), flow: stepsFlow(site, way.steps) }));
  return sequence([box, { kind: "fork", decision, down: { label: "Yes", flow: NOTHING }, rights }]);
}

function notLitLabel(site: Site, way: IfNotLit): string {
  return way.light ? `No: ${nameOf(site.words.system, way.light)}` : "No";
}

/** A condition too long for a decision stands in a box before a short question. */
const LONGEST_QUESTION = 72;

function decisionFlow(
  site: Site,
  step: Step,
  id: string,
  condition: string,
  ways: { readonly yes: SequenceFlow; readonly no: SequenceFlow },
): SequenceFlow {
  if (condition.length <= LONGEST_QUESTION)
    return sequence([marked(site, step, fork(id, `${capitalised(condition)}?`, step, ways))]);
  const box = shape(site, step, "process", [`Look: ${condition}`]);
  return sequence([{ ...box, node: { ...box.node, id: `${id}#look` } }, fork(id, "Is it so?", undefined, ways)]);
}

/** The side that ends leaves to the right, so that what goes on goes straight on; else Yes is down. */
function fork(
  id: string,
  text: string,
  step: Step | undefined,
  ways: { readonly yes: SequenceFlow; readonly no: SequenceFlow },
): Flow & { kind: "fork" } {
  const decision: FlowNode = { ...node(id, "decision", [text]).node, number: step?.number ?? "" };
  const yes = { label: "Yes", flow: ways.yes };
  const no = { label: "No", flow: ways.no };
  const swap = !goesOn(ways.yes) && goesOn(ways.no);
  return { kind: "fork", decision, down: swap ? no : yes, rights: [swap ? yes : no] };
}

function marked(site: Site, step: Step, flow: Flow & { kind: "fork" }): Flow {
  return { ...flow, decision: { ...flow.decision, ...commonOf(site, step) } };
}

function decideFlow(site: Site, step: Step & { kind: "decide" }, ways: readonly Way[], index: number): SequenceFlow {
  const [way, ...rest] = ways;
  if (!way) return sequence([node(`${step.name}#none`, "aside", ["No way is given for this"])]);
  if (!way.condition) return stepsFlow(site, way.steps);
  const no = decideFlow(site, step, rest, index + 1);
  const yes = stepsFlow(site, way.steps);
  const id = index === 0 ? step.name : `${step.name}#${index + 1}`;
  return decisionFlow(site, step, id, sentenceOf(site.words, way.condition), { yes, no });
}

function chooseFlow(site: Site, step: Step & { kind: "choose" }, options: readonly Option[]): Flow {
  const exits = options.map((option): Exit => ({ label: option.title, flow: stepsFlow(site, option.steps) }));
  const decision = shape(site, step, "decision", textOf(site.words, step)).node;
  return { kind: "fork", decision, down: exits[0] ?? { label: "", flow: NOTHING }, rights: exits.slice(1) };
}

function repeatFlow(site: Site, step: Step & { kind: "repeat" }): SequenceFlow {
  const body = stepsFlow(site, step.steps);
  if (!goesOn(body)) return body;
  const question = step.until ? sentenceOf(site.words, step.until) : step.times ? `${step.times} times done` : "Enough";
  const again = step.every ? `No: wait ${durationOf(step.every)}` : "No";
  const decision = shape(site, step, "decision", [`${capitalised(question)}?`]).node;
  const head = node(`${step.name}#head`, "joint", []).node;
  return sequence([{ kind: "loop", head, body, decision, again, leave: "Yes" }]);
}

function togetherFlow(site: Site, step: Step & { kind: "together" }): SequenceFlow {
  const lanes = step.lanes.map((lane) => ({
    title: site.procedure.crew.get(lane.by) ?? lane.by,
    flow: stepsFlow({ ...site, sayWho: false }, lane.steps),
  }));
  const bar = (end: string) => node(`${step.name}#${end}`, "bar", []).node;
  return sequence([{ kind: "lanes", fork: bar("fork"), join: bar("join"), lanes, meetings: meetingsOf(step) }]);
}

function watchFlow(site: Site, step: Step & { kind: "watch" }): SequenceFlow {
  const box = shape(site, step, "process", textOf(site.words, step));
  const answer = stepsFlow(site, step.ifNot);
  if (answer.of.length === 0) return sequence([box]);
  const back = goesOn(answer) ? [node(`${step.name}#back`, "end", ["Go on where it was left"])] : [];
  const right: Exit = { label: "If not", flow: sequence([...answer.of, ...back]), standing: true };
  return sequence([{ kind: "fork", decision: box.node, down: { label: "", flow: NOTHING }, rights: [right] }]);
}

/** A wait of one lane for what another lane has done. */
function meetingsOf(step: Step & { kind: "together" }): readonly Meeting[] {
  const laneOf = new Map<string, number>();
  step.lanes.forEach((lane, index) => {
    for (const inner of everyStep(lane.steps)) laneOf.set(inner.name, index);
  });
  return step.lanes.flatMap((lane, index) =>
    everyStep(lane.steps).flatMap((inner) =>
      inner.kind !== "wait-for"
        ? []
        : doneIn(inner.condition)
            .filter((name) => laneOf.has(name) && laneOf.get(name) !== index)
            .map((name) => ({ from: name, to: inner.name })),
    ),
  );
}

function doneIn(condition: Condition): readonly string[] {
  switch (condition.kind) {
    case "done":
      return [condition.step];
    case "and":
    case "or":
      return condition.of.flatMap(doneIn);
    case "for":
    case "checked":
      return doneIn(condition.of);
    default:
      return [];
  }
}

function titleOf(program: Program, procedure: string): string {
  return program.procedures.get(procedure)?.title ?? procedure;
}

function one(site: Site, step: Step): SequenceFlow {
  return sequence([shape(site, step, "process", textOf(site.words, step))]);
}

function shape(site: Site, step: Step, kind: Shape, text: readonly string[]): Flow & { kind: "node" } {
  return { kind: "node", node: { ...node(step.name, kind, text).node, ...commonOf(site, step) } };
}

function commonOf(site: Site, step: Step): Pick<FlowNode, "number" | "head" | "heavy" | "alerts"> {
  const who = site.sayWho
    ? joinWords(
        step.by.map((role) => site.procedure.crew.get(role) ?? role),
        "and",
      )
    : "";
  const alerts = [
    ...(step.warning ? [`WARNING ${step.warning}`] : []),
    ...(step.caution ? [`CAUTION ${step.caution}`] : []),
  ];
  return { number: step.number, head: who, heavy: site.heavy || step.critical, alerts };
}

function node(id: string, kind: Shape, text: readonly string[]): Flow & { kind: "node" } {
  return { kind: "node", node: { id, shape: kind, number: "", head: "", text, heavy: false, alerts: [] } };
}

/** The heading goes to the first shape of the flow; a loop's is beside its head. */
function headed(flow: SequenceFlow, heading: string): SequenceFlow {
  const [first, ...rest] = flow.of;
  return first ? sequence([headedFlow(first, heading), ...rest]) : flow;
}

function headedFlow(flow: Flow, heading: string): Flow {
  const onto = (target: FlowNode): FlowNode => ({ ...target, heading: joined(heading, target.heading ?? "") });
  switch (flow.kind) {
    case "node":
      return { ...flow, node: onto(flow.node) };
    case "sequence":
      return headed(flow, heading);
    case "fork":
      return { ...flow, decision: onto(flow.decision) };
    case "loop":
      return { ...flow, head: onto(flow.head) };
    case "lanes":
      return { ...flow, fork: onto(flow.fork) };
  }
}

function joined(first: string, second: string): string {
  return first && second ? `${first} · ${second}` : first || second;
}

const NOTHING: SequenceFlow = { kind: "sequence", of: [] };

/** Sequences inside a sequence are drawn into one. */
function sequence(of: readonly Flow[]): SequenceFlow {
  return { kind: "sequence", of: of.flatMap((flow) => (flow.kind === "sequence" ? flow.of : [flow])) };
}
