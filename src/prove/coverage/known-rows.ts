import { Spelling } from "../../machine/spelling.js";
import type { SlipRow } from "../../program/coverage.js";
import type { Context } from "../context.js";
import { spelledOut } from "../spelled-out.js";

/**
 * Rows of slips by all that they depend on: tails on which the models come to the same share them. Of several tails the worst is told,
 * so a slip that is silent on one is not asked about on those after it.
 */
export class KnownRows {
  private readonly spelling = new Spelling();
  private readonly rows = new Map<string, readonly SlipRow[]>();
  private readonly silent = new Map<string, SlipRow>();

  /**
   * The rows of the slips of these ids, unless models that come to the same had them already; `make` gives those of the slips at
   * some places among them.
   */
  once(
    ids: readonly string[],
    models: readonly Context[],
    make: (open: readonly number[]) => readonly SlipRow[],
  ): readonly SlipRow[] {
    const text = [...ids, ...models.map((model) => spelledOut(model, this.spelling))].join("\n\n");
    const known = this.rows.get(text);
    if (known) return known;
    const open = [...ids.keys()].filter((index) => !this.silent.has(ids[index]!));
    const made = open.length > 0 ? make(open) : [];
    const rows = ids.map((id, index) => this.silent.get(id) ?? made[open.indexOf(index)]!);
    rows.forEach((row, index) => {
      if (row.verdict === "silent") this.silent.set(ids[index]!, row);
    });
    this.rows.set(text, rows);
    return rows;
  }
}
