import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { folderWith, proofcard, SOUND } from "./run.js";

test("build --since puts a bar beside the lines that differ, and beside no other", () => {
  const now = SOUND["cards/start.yaml"]!.replace(/\n {2}- set/, "\n  - do: Look over the side\n  - set");
  expect(now).not.toBe(SOUND["cards/start.yaml"]);
  const folder = folderWith({
    ...Object.fromEntries(Object.entries(SOUND).map(([path, text]) => [`old/${path}`, text])),
    ...Object.fromEntries(
      Object.entries({ ...SOUND, "cards/start.yaml": now }).map(([path, text]) => [`new/${path}`, text]),
    ),
  });
  expect(proofcard(join(folder, "new"), ["build", "--since", "../old", "--out", "out", "--draft"]).err).not.toContain(
    "fault",
  );
  const card = readFileSync(join(folder, "new", "out", "cards", "start.txt"), "utf8");
  const barred = card.split("\n").filter((line) => line.startsWith("|"));
  expect(barred).toHaveLength(2);
  expect(barred[0]).toContain("Look over the side");
  expect(barred[1]).toContain("changed since");
  expect(proofcard(join(folder, "new"), ["build", "--since", "../nowhere", "--out", "out2"])).toMatchObject({
    status: 2,
  });
});
