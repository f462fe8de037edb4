import { existsSync } from "node:fs";
import { delimiter, join } from "node:path";
import { defineConfig } from "vitest/config";

/** Programs of Debian that some tests look at the output with. Where one is missing its tests are left out, and that is said. */
const NEEDS: Readonly<Record<string, readonly string[]>> = {
  "tests/spin/**/*.test.ts": ["spin", "gcc"],
  "tests/bench/spin.test.ts": ["spin", "gcc"],
  "tests/print/**/*.test.ts": ["pdftotext", "rsvg-convert", "chromium"],
  "tests/cli/diagrams.test.ts": ["pdftotext"],
};

/** Patterns of tests that cannot run here. With NEED_PROGRAMS (as .ci/run sets it) none is left out, and they fail. */
const LEFT_OUT = Object.keys(NEEDS).filter((pattern) => {
  const missing = NEEDS[pattern]!.filter((program) => !isOnPath(program));
  if (missing.length === 0 || process.env.NEED_PROGRAMS) return false;
  console.warn(`LEFT OUT: ${pattern}, for want of ${missing.join(", ")} (apt-get install them, or .ci/run)`);
  return true;
});

function isOnPath(program: string): boolean {
  return (process.env.PATH ?? "").split(delimiter).some((folder) => existsSync(join(folder, program)));
}

/** Tests that start the built program need dist/, made anew once for the run; the others run from the sources alone. */
const NEEDS_DIST = ["tests/cli/**/*.test.ts", "tests/bench/**/*.test.ts"];

export default defineConfig({
  test: {
    projects: [
      {
        test: {
          name: "sources",
          include: ["tests/**/*.test.ts"],
          exclude: [...NEEDS_DIST, ...LEFT_OUT],
          globalSetup: ["tests/validators.ts"],
          testTimeout: 60_000,
        },
      },
      {
        test: {
          name: "program",
          include: NEEDS_DIST.filter((pattern) => !pattern.includes("bench")),
          exclude: LEFT_OUT,
          globalSetup: ["tests/build.ts"],
          testTimeout: 120_000,
        },
      },
      {
        test: {
          name: "bench",
          include: ["tests/bench/**/*.test.ts"],
          exclude: LEFT_OUT,
          globalSetup: ["tests/build.ts"],
          testTimeout: 300_000,
          sequence: { groupOrder: 1 },
          fileParallelism: false,
        },
      },
    ],
  },
});
