import type { FindingKind } from "../diagnostics/finding.js";
import { INSPECT_KINDS } from "./inspect/inspect.js";

/** Every kind of finding that is raised about a finished card. */
export const EMIT_KINDS: readonly FindingKind[] = INSPECT_KINDS;
