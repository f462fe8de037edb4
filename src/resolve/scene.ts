import type { Finding } from "../diagnostics/finding.js";
import type { Condition } from "../program/condition.js";
import type { NameSyntax } from "../syntax/condition/ast.js";
import type { NameTable } from "./names/table.js";

/** What is in view where a name or a condition is resolved. */
export interface Scene {
  readonly names: NameTable;
  /** What `.side` stands for here; absent where there is no side. */
  readonly side?: string | undefined;
  readonly report: (finding: Finding) => void;
  /** Told when `.side` is said where there is no side. True: the caller sees to it, and nothing is reported. */
  readonly wantSide?: ((sides: readonly string[]) => boolean) | undefined;
  /** What `done X` means here; absent where no steps are in view. */
  readonly doneStep?: ((step: NameSyntax) => Condition | undefined) | undefined;
}
