import { and, type Expression, equals, FALSE, or, TRUE } from "../../machine/expression.js";
import { EMPTY, FULL, type Ref } from "../../machine/symbolic/bdd.js";
import type { Space } from "../../machine/symbolic/space.js";

/** A set of states as a truth over its variables, to be carried into another space of the same model. */
export function expressionOf(space: Space, set: Ref): Expression {
  const known = new Map<Ref, Expression>();
  const visit = (at: Ref): Expression => {
    if (at === EMPTY) return FALSE;
    if (at === FULL) return TRUE;
    const present = known.get(at);
    if (present) return present;
    const variable = space.supportOf(at)[0]!;
    const cases = Array.from({ length: variable.size }, (_, value) =>
      and(equals(variable, value), visit(space.restrict(at, variable, value))),
    );
    const made = or(...cases);
    known.set(at, made);
    return made;
  };
  return visit(set);
}
