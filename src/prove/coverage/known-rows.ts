import { Spelling } from "../../machine/spelling.js";
import type { SlipRow } from "../../program/coverage.js";
import type { Context } from "../context.js";
import { spelledOut } from "../spelled-out.js";

/** Rows of slips by all that they depend on: tails on which the models come to the same share them. */
export class KnownRows {
  private readonly spelling = new Spelling();
  private readonly rows = new Map<string, readonly SlipRow[]>();

  /** The rows of the slips of these ids: made, unless models that come to the same had them already. */
  once(ids: readonly string[], models: readonly Context[], make: () => readonly SlipRow[]): readonly SlipRow[] {
    const text = [...ids, ...models.map((model) => spelledOut(model, this.spelling))].join("\n\n");
    const rows = this.rows.get(text) ?? make();
    this.rows.set(text, rows);
    return rows;
  }
}
