import { expect, test } from "vitest";
import { proveProgram } from "../../src/prove/prove.js";
import { differences } from "../support/compare.js";
import { aside, check, micro } from "../support/micro.js";

/** Made up: a pump that does not show itself, a light that tells of it, and a switch that lights the light too. */
const cards = (button: string) =>
  micro(
    [
      "ctl valve: shut open",
      button,
      "eq pump: still turning; still>turning when valve is open, hidden",
      "light green run: pump is turning or button is on",
    ].join("\n"),
    { begins: [], ends: [], steps: [check("pump is turning", [aside()])] },
  );

test("a light tells of what does not show itself, though it hangs on a test button that the card leaves alone", () => {
  const world = cards("ctl button: off on, springs on>off");
  expect(proveProgram(world.program).findings.map(({ code }) => code)).not.toContain("view/cannot-see");
  expect(differences(world, 5000)).toEqual([]);
});

test("but not where a switch may have been left on that lights it as well", () => {
  const world = cards("ctl button: off on");
  expect(proveProgram(world.program).findings.map(({ code }) => code)).toContain("view/cannot-see");
  expect(differences(world, 5000)).toEqual([]);
});
