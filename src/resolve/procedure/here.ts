import type { Scene } from "../scene.js";
import type { Counter } from "./numbering.js";
import type { Frame } from "./plan.js";
import type { Project } from "./text.js";

/** Where planning stands: what the steps of a list inherit. */
export interface Here {
  readonly frame: Frame;
  /** What `.side` means. */
  readonly side?: string | undefined;
  /** The side of the `for-each` or `perform` that these steps are a copy for. */
  readonly copySide?: string | undefined;
  /** Appended to names, so that copies differ: empty, `.port`. */
  readonly copy: string;
  readonly by: readonly string[];
  readonly counter: Counter;
  /** Parts and procedures that are being put in place, outermost first. */
  readonly path: readonly Visit[];
  /** Inside a `together`. */
  readonly inLane: boolean;
}

export interface Visit {
  readonly id: string;
  /** Tells a part from a procedure, and the parts of two procedures apart. */
  readonly key: string;
}

export function sceneHere({ frame, side }: Here, { report }: Project): Scene {
  return { names: frame.text.world.names, side, report };
}
