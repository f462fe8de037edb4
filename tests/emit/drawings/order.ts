import type { Piece } from "../../../src/emit/flowchart/piece.js";
import type { Procedure, Step } from "../../../src/program/procedure.js";

/** Which step can come straight after which, read from the lines of a chart: `a -> b`, joints and bars left out. */
export function drawnOrder(chart: Piece): ReadonlySet<string> {
  const next = new Map<string, string[]>();
  for (const wire of chart.wires) if (!wire.broken) next.set(wire.from, [...(next.get(wire.from) ?? []), wire.to]);
  const passes = new Set(chart.boxes.filter((box) => PASSED.has(box.node.shape)).map((box) => box.node.id));
  const after = (id: string): string[] => (next.get(id) ?? []).flatMap((to) => (passes.has(to) ? after(to) : [to]));
  const real = chart.boxes.filter((box) => !passes.has(box.node.id));
  const pairs = real.flatMap((box) => after(box.node.id).map((to) => arrow(box.node.id, to)));
  return reached(new Set(pairs.filter((pair) => pair !== "")));
}

/** Without what begins at a step that nothing leads to: how such steps hang together means nothing. */
function reached(pairs: ReadonlySet<string>): ReadonlySet<string> {
  const from = new Map<string, string[]>();
  for (const pair of pairs) {
    const [a = "", b = ""] = pair.split(" -> ");
    from.set(a, [...(from.get(a) ?? []), b]);
  }
  const seen = new Set(["start"]);
  for (const name of seen) for (const next of from.get(name) ?? []) seen.add(next);
  return new Set([...pairs].filter((pair) => seen.has(pair.split(" -> ")[0] ?? "")));
}

const PASSED: ReadonlySet<string> = new Set(["joint", "bar", "connector"]);

function arrow(from: string, to: string): string {
  const [a, b] = [from.replace(/#.*/, ""), to.replace(/#.*/, "")];
  return a === b ? "" : `${a} -> ${b}`;
}

/** The same from the steps alone, by what each verb means. Written apart from the layout, on purpose. */
export function meantOrder(procedure: Procedure): ReadonlySet<string> {
  const order = new Order();
  order.link("start", order.list(procedure.steps, comesOut(procedure.steps) ? ["end"] : []));
  return reached(order.pairs);
}

/** Names that come first. */
type Names = readonly string[];

class Order {
  readonly pairs = new Set<string>();

  link(from: string, to: Names): void {
    for (const name of to) if (arrow(from, name)) this.pairs.add(arrow(from, name));
  }

  /** Records what follows what in a list that is followed by `then`, and gives back what it begins with. */
  list(steps: readonly Step[], then: Names): Names {
    return steps.reduceRight<Names>((after, step) => this.step(step, after), then);
  }

  private step(step: Step, then: Names): Names {
    switch (step.kind) {
      case "finish":
      case "set-aside":
      case "go-to":
        return [step.name];
      case "section":
      case "memory":
        return this.list(step.steps, then);
      case "hold":
        return this.hold(step, then);
      case "check":
        return this.ways(step.name, [[], step.ifNot], then);
      case "wait-for": {
        const entry = this.list(step.steps, [step.name]);
        this.ways(step.name, step.within === undefined ? [[]] : [[], step.ifNot], then);
        return entry;
      }
      case "observe":
        return this.ways(step.name, [[], ...step.ifNot.map((way) => way.steps)], then);
      case "if":
        return this.ways(step.name, [step.then, step.else], then);
      case "decide":
        return this.ways(
          step.name,
          step.ways.map((way) => way.steps),
          then,
        );
      case "choose":
        return this.ways(
          step.name,
          step.options.map((option) => option.steps),
          then,
        );
      case "watch":
        this.list(step.ifNot, [step.name]);
        return this.ways(step.name, [[]], then);
      case "repeat": {
        if (!comesOut(step.steps)) return this.list(step.steps, []);
        const entry = this.list(step.steps, [step.name]);
        this.link(step.name, [...entry, ...then]);
        return entry;
      }
      case "together": {
        const after = step.lanes.every((lane) => comesOut(lane.steps)) ? then : [];
        return step.lanes.flatMap((lane) => this.list(lane.steps, after));
      }
      default:
        return this.ways(step.name, [[]], then);
    }
  }

  private ways(name: string, ways: readonly (readonly Step[])[], then: Names): Names {
    for (const way of ways) this.link(name, this.list(way, then));
    return [name];
  }

  private hold(step: Step & { kind: "hold" }, then: Names): Names {
    if (step.steps.length === 0) return this.ways(step.name, [[]], then);
    this.link(step.name, this.list(step.steps, [step.name]));
    if (comesOut(step.steps)) this.link(step.name, then);
    return [step.name];
  }
}

function comesOut(steps: readonly Step[]): boolean {
  return steps.every((step) => {
    switch (step.kind) {
      case "finish":
      case "set-aside":
      case "go-to":
        return false;
      case "section":
      case "memory":
      case "hold":
      case "repeat":
      case "wait-for":
        return comesOut(step.steps);
      case "if":
        return comesOut(step.then) || comesOut(step.else);
      case "decide":
        return step.ways.some((way) => comesOut(way.steps));
      case "choose":
        return step.options.some((option) => comesOut(option.steps));
      case "together":
        return step.lanes.every((lane) => comesOut(lane.steps));
      default:
        return true;
    }
  });
}
