import type { Variable } from "../../machine/expression.js";
import { type Expression, FALSE, or } from "../../machine/expression.js";
import type { Edge } from "../../machine/graph/graph.js";
import type { Model } from "../../machine/model.js";
import { assume } from "../../machine/operation.js";
import { orderOf } from "../../machine/slice.js";
import type { Ref } from "../../machine/symbolic/bdd.js";
import { Search } from "../../machine/symbolic/search.js";
import { type Monitor, type Transition, Transitions } from "../../machine/transitions.js";
import type { Context } from "../context.js";

/** What ends a run besides its ends: states of the moment of an edge that go no further, and edges that nobody goes. */
export interface Cuts {
  readonly at: ReadonlyMap<Edge, Expression>;
  readonly closed: ReadonlySet<Edge>;
}

/** The transitions of a model with some cut: what is cut at a moment is a breach of the search. */
export class CutTransitions extends Transitions {
  private readonly cut = new Map<Edge, Transition>();

  constructor(
    model: Model,
    slice: ReadonlySet<Variable>,
    private readonly cuts: Cuts,
    monitors: readonly Monitor[] = [],
  ) {
    super(model, monitors, slice);
  }

  override concerns(edge: Edge): boolean {
    return this.cuts.at.has(edge) || this.cuts.closed.has(edge) || super.concerns(edge);
  }

  override of(edge: Edge): Transition {
    const present = this.cut.get(edge);
    if (present) return present;
    const base = super.of(edge);
    const broken = this.cuts.at.get(edge);
    const made = this.cuts.closed.has(edge)
      ? { ...base, operations: [assume(FALSE)] }
      : broken
        ? { ...base, broken: or(base.broken, broken) }
        : base;
    this.cut.set(edge, made);
    return made;
  }
}

/**
 * A search of everything, with cuts; `first` are the variables at the top of the order. `asked` says what is asked at places, by
 * node id, where nothing else is asked of what is found.
 */
export function cutSearch(
  context: Context,
  cuts: Cuts,
  first: readonly Variable[],
  asked?: (id: number) => Iterable<Variable>,
): Search {
  const { model, influences, limits, whole } = context;
  const rest = orderOf(influences, [], whole).filter((variable) => !first.includes(variable));
  return new Search(new CutTransitions(model, whole, cuts), {
    order: [...first, ...rest],
    ...(limits.deadline ? { deadline: limits.deadline } : {}),
    ...(limits.nodes ? { nodeLimit: limits.nodes } : {}),
    ...(asked ? { asked } : {}),
    ...(limits.forgetFrom === undefined ? {} : { forgetFrom: limits.forgetFrom }),
  });
}

/** The values of a variable that some state of the set has. */
export function valuesIn(search: Search, set: Ref, variable: Variable): readonly number[] {
  const { space } = search;
  const others = space.variables.filter((one) => one !== variable);
  const projected = space.forget(set, others);
  return Array.from({ length: variable.size }, (_, value) => value).filter(
    (value) => space.bdd.and(projected, space.value(variable, value)) !== 0,
  );
}
