import type { Spelling } from "../machine/spelling.js";
import type { Context } from "./context.js";
import { tellingOfLooks } from "./hidden.js";
import { sightVariables } from "./whole/sight.js";

/** All that the answers depend on, with the lights that a look or a claim of cover takes in beside the steps. */
export function spelledOut(context: Context, spelling: Spelling): string {
  const { model, procedure } = context;
  const { world } = model;
  const shown = sightVariables(context).map(
    ({ thing, variable, truth }) => `${thing} ${variable.name} ${spelling.expression(truth)}`,
  );
  const beside = tellingOfLooks(model).map((truth) => spelling.expression(truth));
  const covered = procedure.covers.flatMap(({ set }) => world.system.lightSets.get(set)?.lights ?? []);
  const controls = [...world.system.controls.values()].flatMap(({ id, duty }) => (duty ? [id] : []));
  const fitted = [...covered, ...controls].map((thing) => (world.isFitted(thing) ? thing : ""));
  return [spelling.model(model), ...shown, beside.join(), fitted.join()].join("\n");
}
