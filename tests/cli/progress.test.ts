import { expect, test } from "vitest";
import { Progress } from "../../src/cli/progress.js";

test("short work says nothing; long work is counted in seconds and its line wiped", () => {
  const written: string[] = [];
  const progress = new Progress((text) => written.push(text), 5000);
  progress.tick(5900);
  progress.end();
  expect(written).toEqual([]);
  for (const now of [6000, 6100, 6249, 6250, 8000]) progress.tick(now);
  progress.end();
  expect(written.map((text) => text.replace("\r\u001b[K", ""))).toEqual([
    "proving, 1 s",
    "proving, 1 s",
    "proving, 3 s",
    "",
  ]);
});
