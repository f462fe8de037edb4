import type { Edge, Node } from "../machine/graph/graph.js";
import { type Monitor, Transitions } from "../machine/transitions.js";
import type { Step } from "../program/procedure.js";

/**
 * Says of a step if there is always a way through it on which nothing that counts among some transitions is done or asked. Then the
 * procedure without the step can do nothing here that it cannot do with it: each run without it is a run with it, this way taken
 * just before what comes next. What holds of all runs with it so holds without it. "No" says nothing.
 */
class Silence {
  private readonly among: Transitions;
  private readonly edges = new Map<Step, Edge[]>();
  /** Steps that may find a control held by another. */
  private readonly held: ReadonlySet<Step | undefined>;
  private readonly waitsForChanges: boolean;

  constructor({ model, monitors, slice }: Transitions) {
    this.among = new Transitions(model, monitors.map(withoutTimes), slice);
    this.waitsForChanges = this.among.untilReady.length > 0;
    this.held = new Set(model.graph.probes.flatMap(({ kind, step }) => (kind === "held" ? [step] : [])));
    for (const edge of model.graph.edges) {
      if (!edge.step) continue;
      const present = this.edges.get(edge.step);
      if (present) present.push(edge);
      else this.edges.set(edge.step, [edge]);
    }
  }

  isThrough(step: Step): boolean {
    if (!this.among.model.graph.entries.has(step)) return true;
    if (!this.isOwn(step)) return false;
    switch (step.kind) {
      case "set-aside":
      case "finish":
      case "go-to":
      case "together":
        return false;
      case "if":
        return this.isThroughAll(step.then) || this.isThroughAll(step.else);
      case "decide":
        return step.ways.some((way) => this.isThroughAll(way.steps));
      case "choose":
        return step.options.some((option) => this.isThroughAll(option.steps));
      case "hold":
      case "repeat":
      case "perform":
      case "section":
      case "memory":
      case "wait-for":
        return this.isThroughAll(step.steps);
      default:
        return true;
    }
  }

  private isThroughAll(steps: readonly Step[]): boolean {
    return steps.every((step) => this.isThrough(step));
  }

  /** What the step does itself, on the way on which nothing fails: where a check fails other steps are done. */
  private isOwn(step: Step): boolean {
    const own = this.edges.get(step) ?? [];
    if (own.some((edge) => this.among.concerns(edge))) return false;
    if (own.some(({ lanes }) => lanes !== undefined) && (this.held.has(step) || takesTime(step))) return false;
    if (!this.waitsForChanges) return true;
    return step.kind !== "repeat" && own.every((edge) => isFailing(edge) || this.isFollowedByAct(edge));
  }

  /**
   * An act waits until no change has to come first. Where another act follows, or a tick, it waits for the same: the step can be done
   * just before that, if all on the way from it to there can be put off until then. An end waits for nothing.
   */
  private isFollowedByAct({ from, to, lanes }: Edge): boolean {
    const { outgoing } = this.among.model.graph;
    const met = new Set<Node>([to]);
    for (const node of met) {
      if (node.end || [...node.moves].some((gauge) => !from.moves.has(gauge))) return false;
      for (const edge of outgoing.get(node) ?? []) {
        const isOther = lanes && edge.lanes && !edge.lanes.some((lane) => lanes.includes(lane));
        if (isOther || this.among.lead(edge).length > 0) continue;
        if (this.among.concerns(edge)) return false;
        met.add(edge.to);
      }
    }
    return true;
  }
}

export function silenceAmong(among: Transitions): Silence {
  const made = silences.get(among) ?? new Silence(among);
  silences.set(among, made);
  return made;
}

/** Kept: one rule is asked of many steps. */
const silences = new WeakMap<Transitions, Silence>();

/** Stated times only grow with what is done, and the more they are, the sooner a rule is broken. */
function withoutTimes({ along: _, ...monitor }: Monitor): Monitor {
  return monitor;
}

/** In a lane time goes on for the other person too: no way through is sure there. */
function takesTime(step: Step): boolean {
  if (step.kind === "repeat") return step.every !== undefined;
  return step.kind === "wait" || (step.kind === "hold" && step.for !== undefined);
}

function isFailing({ act, step }: Edge): boolean {
  return act.kind === "look" && act.outcome === false && (step?.kind === "check" || step?.kind === "wait-for");
}
