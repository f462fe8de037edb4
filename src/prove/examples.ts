import { ORDER_EXAMPLES } from "./examples/order.js";
import type { Example } from "./examples/repository.js";

/** By code: a small repository that raises it, and the same one mended. */
export const EXAMPLES: ReadonlyMap<string, Example> = new Map([...ORDER_EXAMPLES]);
