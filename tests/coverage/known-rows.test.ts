import { expect, test } from "vitest";
import { KnownRows } from "../../src/prove/coverage/known-rows.js";
import { mergeSlips } from "../../src/prove/coverage/merge.js";
import { slipsOnTail } from "../../src/prove/coverage/slip-verdicts.js";
import { slipsOf } from "../../src/prove/coverage/slips.js";
import { proveProgram } from "../../src/prove/prove.js";
import { randomWorld, worldFrom } from "../support/random-world.js";

class Counted extends KnownRows {
  asked = 0;
  made = 0;

  override once(...[ids, models, make]: Parameters<KnownRows["once"]>): ReturnType<KnownRows["once"]> {
    this.asked++;
    return super.once(ids, models, (open) => {
      this.made++;
      return make(open);
    });
  }
}

/** Against asking each tail alone: 30 random worlds of several tails. */
test("tails that share rows have those that they would have alone", { timeout: 120_000 }, () => {
  let shared = 0;
  let worlds = 0;
  for (let seed = 70_001; worlds < 30; seed++) {
    const { program, procedure, system } = worldFrom(randomWorld(seed));
    if (system.tails.length < 2 || proveProgram(program).findings.some(({ severity }) => severity === "error"))
      continue;
    worlds++;
    const known = new Counted();
    const slips = slipsOf(procedure, system);
    const tails = system.tails.map((tail) => ({ program, procedure, tail, limits: {} }));
    const together = mergeSlips(tails.map((asked) => slipsOnTail({ ...asked, known }, slips)));
    expect(together, `seed ${seed}`).toEqual(mergeSlips(tails.map((asked) => slipsOnTail(asked, slips))));
    shared += known.asked - known.made;
  }
  expect(shared).toBeGreaterThan(0);
});
