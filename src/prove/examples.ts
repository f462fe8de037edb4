import { FLOW_EXAMPLES } from "./examples/flow.js";
import { LIGHT_EXAMPLES } from "./examples/lights.js";
import { ORDER_EXAMPLES } from "./examples/order.js";
import { PEOPLE_EXAMPLES } from "./examples/people.js";
import type { Example } from "./examples/repository.js";
import { SYSTEM_EXAMPLES } from "./examples/system.js";

/** By code: a small repository that raises it, and the same one mended. */
export const EXAMPLES: ReadonlyMap<string, Example> = new Map([
  ...ORDER_EXAMPLES,
  ...LIGHT_EXAMPLES,
  ...SYSTEM_EXAMPLES,
  ...FLOW_EXAMPLES,
  ...PEOPLE_EXAMPLES,
]);
