import { spawnSync } from "node:child_process";
import { join } from "node:path";
import { expect, test } from "vitest";
import { ROOT } from "../cli/run.js";
import { builtWorker } from "./worker.js";

const WORKER = builtWorker("print-cards");

interface Figures {
  readonly pages: number;
  readonly bytes: number;
  readonly megabytes: number;
  readonly warm?: number;
  readonly wall: number;
}

/** The run of median wall time out of three, each in a fresh process; reading and resolving the sources is in it. */
function printing(pages: number, rounds = 0): Figures {
  const runs = [0, 1, 2].map(() => {
    const began = performance.now();
    const { stdout, status, stderr } = spawnSync(
      process.execPath,
      [WORKER, join(ROOT, "examples", "merrow-m46"), String(pages), String(rounds)],
      { encoding: "utf8" },
    );
    if (status !== 0) throw new Error(stderr);
    return { ...(JSON.parse(stdout) as Omit<Figures, "wall">), wall: performance.now() - began };
  });
  return runs.sort((a, b) => a.wall - b.wall)[1]!;
}

test("10 pages in a fresh process take at most 1.5 s", () => {
  const { pages, wall, bytes } = printing(10);
  console.info(`${pages} pages, ${Math.round(bytes / 1024)} kB: ${Math.round(wall)} ms`);
  expect(pages).toBeGreaterThanOrEqual(10);
  expect(wall).toBeLessThanOrEqual(1500);
});

test("200 pages take at most 5 s and 300 MB", () => {
  const { pages, wall, megabytes, bytes } = printing(200);
  console.info(
    `${pages} pages, ${Math.round(bytes / 1024)} kB: ${Math.round(wall)} ms, ${Math.round(megabytes)} MB at most`,
  );
  expect(pages).toBeGreaterThanOrEqual(200);
  expect(wall).toBeLessThanOrEqual(5000);
  expect(megabytes).toBeLessThanOrEqual(300);
});

test("layout takes at most 2 ms a page when warm", () => {
  const { warm = Number.POSITIVE_INFINITY } = printing(40, 15);
  console.info(`layout ${warm.toFixed(2)} ms a page, median of 15 rounds`);
  expect(warm).toBeLessThanOrEqual(2);
});
