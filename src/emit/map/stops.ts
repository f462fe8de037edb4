import type { Condition } from "../../program/condition.js";
import type { Move, Procedure, Step } from "../../program/procedure.js";
import type { System } from "../../program/system.js";
import { placardOf } from "../card/names.js";
import { placeHolder, type Spot } from "./site.js";

/** What hand or eye does at a place: sets it, makes sure of it, looks at it, or looks at it as one of several lights. */
export type Act = "set" | "verify" | "check" | "observe";

/** A place that hand or eye goes to, for one step. */
export interface Stop {
  readonly step: string;
  readonly number: string;
  readonly act: Act;
  /** Who goes there; empty where the step names nobody. */
  readonly by: string;
  /** The thing gone to, and all that is looked at from there. */
  readonly thing: string;
  readonly others: readonly string[];
  /** Where a control is left. */
  readonly position?: string;
}

/**
 * The main line of a procedure: its steps in order with the first way of every decision, without what an `if-not` does.
 * One look at several things on one panel is one stop, at that of them which is nearest to their middle.
 */
export function stopsOf(system: System, procedure: Procedure, spots: ReadonlyMap<string, Spot>): readonly Stop[] {
  return new Walk(system, spots).steps(procedure.steps, "");
}

class Walk {
  constructor(
    private readonly system: System,
    private readonly spots: ReadonlyMap<string, Spot>,
  ) {}

  steps(steps: readonly Step[], lane: string): readonly Stop[] {
    return steps.flatMap((step) => this.step(step, lane));
  }

  private step(step: Step, lane: string): readonly Stop[] {
    const look = (condition: Condition) => this.looks(step, lane, "check", this.thingsIn(condition));
    switch (step.kind) {
      case "set":
      case "press":
        return this.moves(step, lane, "set", step.moves);
      case "hold":
        return [...this.moves(step, lane, "set", step.moves), ...this.steps(step.steps, lane)];
      case "verify":
        return this.moves(step, lane, "verify", step.moves);
      case "check":
      case "watch":
        return look(step.condition);
      case "observe":
        return this.looks(step, lane, "observe", step.lights);
      case "wait-for":
        return [...this.steps(step.steps, lane), ...look(step.condition)];
      case "if":
        return [...look(step.condition), ...this.steps(step.then, lane)];
      case "decide": {
        const [way] = step.ways;
        return way ? [...(way.condition ? look(way.condition) : []), ...this.steps(way.steps, lane)] : [];
      }
      case "choose":
        return this.steps(step.options[0]?.steps ?? [], lane);
      case "repeat":
        return [...this.steps(step.steps, lane), ...(step.until ? look(step.until) : [])];
      case "record":
        return this.looks(step, lane, "check", [step.gauge]);
      case "together":
        return step.lanes.flatMap((one) => this.steps(one.steps, one.by));
      case "perform":
        return step.target.kind === "part" ? this.steps(step.steps, lane) : [];
      case "section":
      case "memory":
        return this.steps(step.steps, lane);
      default:
        return [];
    }
  }

  private moves(step: Step, lane: string, act: Act, moves: readonly Move[]): readonly Stop[] {
    return moves.flatMap((move) => {
      const controls = move.choice === "either" ? move.controls.slice(0, 1) : move.controls;
      return controls.flatMap((control): readonly Stop[] => {
        const thing = placeHolder(this.system, control);
        if (!this.spots.has(thing)) return [];
        const placard = placardOf(this.system, control, move.position);
        const position = this.system.controls.get(control)?.guards ? `guard ${placard}` : placard;
        return [{ ...common(step, lane), act, thing, others: [], position }];
      });
    });
  }

  private looks(step: Step, lane: string, act: Act, things: readonly string[]): readonly Stop[] {
    const seen = [...new Set(things.map((thing) => placeHolder(this.system, thing)))];
    const byPanel = new Map<string, Spot[]>();
    for (const spot of seen.flatMap((thing) => this.spots.get(thing) ?? [])) {
      byPanel.set(spot.panel, [...(byPanel.get(spot.panel) ?? []), spot]);
    }
    return [...byPanel.values()].map((group) => {
      const thing = nearestToMiddle(group).id;
      const others = group.map((spot) => spot.id).filter((id) => id !== thing);
      return { ...common(step, lane), act, thing, others };
    });
  }

  /** What the crew looks at for a condition: what it names, of a named condition what that is made of. */
  private thingsIn(condition: Condition): readonly string[] {
    switch (condition.kind) {
      case "and":
      case "or":
        return condition.of.flatMap((part) => this.thingsIn(part));
      case "not":
      case "for":
      case "checked":
        return this.thingsIn(condition.of);
      case "is":
        return [condition.thing];
      case "light":
        return [condition.light];
      case "named": {
        const means = this.system.conditions.get(condition.condition)?.means;
        return means ? this.thingsIn(means) : [];
      }
      case "compare":
        return [condition.left, condition.right].flatMap((term) => (term.kind === "gauge" ? [term.gauge] : []));
      case "near":
        return [condition.left, condition.right];
      case "band":
      case "recorded":
        return [condition.gauge];
      default:
        return [];
    }
  }
}

function common(step: Step, lane: string): Pick<Stop, "step" | "number" | "by"> {
  return { step: step.name, number: step.number, by: lane || (step.by[0] ?? "") };
}

function nearestToMiddle(group: readonly Spot[]): Spot {
  const x = group.reduce((sum, spot) => sum + spot.x, 0) / group.length;
  const y = group.reduce((sum, spot) => sum + spot.y, 0) / group.length;
  const far = (spot: Spot) => Math.hypot(spot.x - x, spot.y - y);
  return group.reduce((best, spot) => (far(spot) < far(best) - 1e-9 ? spot : best));
}
