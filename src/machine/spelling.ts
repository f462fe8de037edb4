import type { Expression, Variable } from "./expression.js";
import type { Edge, Node, Probe } from "./graph/graph.js";
import type { LoweredRule, Model } from "./model.js";
import type { Operation } from "./operation.js";
import type { Memory } from "./world/memory.js";

/**
 * Spells models out, so that two tails on which a procedure comes to the same are known for twins. Expressions are numbered as
 * they are met: one that was met before costs nothing.
 */
export class Spelling {
  private readonly numbers = new Map<string, number>();
  private readonly expressions = new WeakMap<Expression, number>();

  /** All of a model that can bear on an answer: equal texts, equal answers. */
  model(model: Model): string {
    const { graph, dynamics } = model;
    const parts = [
      ...graph.nodes.map((node) => this.node(node)),
      ...graph.edges.map((edge) => this.edge(edge, model)),
      ...graph.probes.map((probe) => this.probe(probe, model)),
      ...[...graph.entries].map(([step, nodes]) => `entry ${step.name} ${ids(nodes)}`),
      ...dynamics.immediate.map((piece) => `at once ${this.operation({ kind: "choose", cases: piece.choice })}`),
      ...dynamics.delayed.map((one) => `later ${this.expression(one.mayFire)} ${this.all([...one.fire, ...one.tick])}`),
      `forced ${this.expression(dynamics.forced)} ${this.expression(dynamics.instant)}`,
      ...model.memories.map((memory) => this.memory(memory)),
      `ticks ${model.world.times.tick} ${this.all(model.ticks)}`,
      ...[...model.gauges].map(
        ([gauge, when]) => `moves ${gauge} ${this.expression(when)} ${this.moved(model, gauge)}`,
      ),
      ...[...model.world.known].map(([thing]) => `known ${thing}`),
      ...model.rules.map((rule) => this.rule(rule)),
      `starts ${model.start.map((part) => this.expression(part)).join(" ")}`,
    ];
    return parts.join("\n");
  }

  /** The number of an expression: equal for equal ones, of whatever model. */
  expression(expression: Expression): number {
    const known = this.expressions.get(expression);
    if (known !== undefined) return known;
    const made = this.number(this.spell(expression));
    this.expressions.set(expression, made);
    return made;
  }

  private spell(expression: Expression): string {
    switch (expression.kind) {
      case "constant":
        return String(expression.value);
      case "in":
        return `${this.variable(expression.variable)} in ${expression.values.join()}`;
      case "not":
        return `not ${this.expression(expression.of)}`;
      case "and":
      case "or":
        return `${expression.kind} ${expression.of.map((part) => this.expression(part)).join()}`;
    }
  }

  private number(text: string): number {
    const known = this.numbers.get(text);
    if (known !== undefined) return known;
    this.numbers.set(text, this.numbers.size);
    return this.numbers.size - 1;
  }

  private variable({ name, size }: Variable): string {
    return `${name}/${size}`;
  }

  private node({ id, moves, holds, end, isUrgent }: Node): string {
    const held = holds.map((hold) => `${hold.control}>${hold.rest} ${hold.step.name}`);
    const step = end?.step?.name ?? "";
    return `node ${id} ${[...moves].join()} ${held.join()} ${end?.kind ?? ""} ${step} ${isUrgent ?? false}`;
  }

  /** What becomes known counts only where something asks for it. */
  private edge(edge: Edge, { world }: Model): string {
    const { id, from, to, kind, after, step, learns, stated, lanes, act } = edge;
    const what = "control" in act ? `${act.kind} ${act.control} ${act.position} ${act.how}` : act.kind;
    const rest = [
      step?.name,
      learns.filter((thing) => world.known.has(thing)).join(),
      stated,
      lanes?.join(),
      what,
    ].join(" ");
    return `edge ${id} ${from.id} ${to.id} ${kind} ${this.expression(after)} ${this.all(edge.operations)} ${rest}`;
  }

  private probe(probe: Probe, model: Model): string {
    const edges = probe.edges.map((edge) => edge.id).join();
    const about = [
      ...("truth" in probe ? [probe.truth] : []),
      ...("closed" in probe ? [probe.closed] : []),
      ...("already" in probe ? [probe.already] : []),
      ...("until" in probe ? [probe.until] : []),
    ].map((part) => this.expression(part));
    const what = [
      "control" in probe ? probe.control : "",
      "procedure" in probe ? probe.procedure : "",
      "what" in probe ? probe.what : "",
      "but" in probe ? probe.but.join() : "",
      "condition" in probe ? probe.condition.span.start : "",
    ].join(" ");
    const region = probe.kind === "stuck" ? ids(probe.region) : "";
    const lights = probe.kind === "observe" ? this.lights(probe.step, model) : "";
    return `probe ${probe.kind} ${probe.step?.name} ${ids(probe.nodes)} ${edges} ${about.join()} ${what} ${region} ${lights}`;
  }

  /** What the lights of an observation come to, and what is listed of them. */
  private lights(step: Probe["step"], { world }: Model): string {
    if (step?.kind === "check") return String(this.expression(world.lower(step.condition)));
    if (step?.kind !== "observe") return "";
    const fitted = step.lights.filter((light) => world.isFitted(light));
    const lit = fitted.map((light) => `${light} ${this.expression(world.lowerLight(light, "lit"))}`);
    const listed = step.lit.map(({ light, when }) => `${light} ${when ? this.expression(world.lower(when)) : ""}`);
    return [...lit, ...listed].join();
  }

  private rule({ rule, before, condition, trigger, deadline, onlyAfter, onlyUntil }: LoweredRule): string {
    const parts = [condition, trigger, deadline === "end" ? undefined : deadline, onlyAfter, onlyUntil];
    const spelled = parts.map((part) => (part ? this.expression(part) : "")).join();
    return `rule ${rule.id} ${spelled} ${this.all((before ?? []).map((one) => one.remember))}`;
  }

  private memory({ name, before, after, atAct, inputs, variables }: Memory): string {
    const named = [...inputs, ...variables].map((one) => this.variable(one)).join();
    return `memory ${name} ${named} ${this.all(before)} ${this.all(after)} ${this.all(atAct ?? [])}`;
  }

  private moved(model: Model, gauge: string): string {
    const moved = model.world.gauges.moved(gauge);
    if (!moved) return "";
    return `${moved.variables.map((one) => this.variable(one)).join()} ${this.expression(moved.constraint)}`;
  }

  private all(operations: readonly Operation[]): string {
    return operations.map((operation) => this.number(this.operation(operation))).join();
  }

  private operation(operation: Operation): string {
    switch (operation.kind) {
      case "assume":
        return `assume ${this.expression(operation.condition)}`;
      case "assign":
        return `${this.variable(operation.variable)} = ${operation.value}`;
      case "havoc":
        return `havoc ${operation.variables.map((one) => this.variable(one)).join()} ${this.expression(operation.constraint)}`;
      case "choose":
        return `choose ${operation.cases
          .map((one) => {
            const set = one.assign.map(({ variable, value }) => `${this.variable(variable)} = ${value}`);
            return `${this.expression(one.when)} ${set.join()}`;
          })
          .join(";")}`;
      case "settle":
        return "settle";
      case "remember":
        return `remember ${this.variable(operation.variable)} ${this.expression(operation.truth)}`;
      case "copy":
        return `copy ${this.variable(operation.variable)} ${this.variable(operation.of)}`;
      case "forget":
        return `forget ${operation.variables.map((one) => this.variable(one)).join()}`;
    }
  }
}

function ids(nodes: readonly Node[]): string {
  return nodes.map((node) => node.id).join();
}
