import { defineConfig } from "vitest/config";

/** Tests that start the built program need dist/, made anew once for the run; the others run from the sources alone. */
const NEEDS_DIST = ["tests/cli/**/*.test.ts", "tests/bench/**/*.test.ts"];

export default defineConfig({
  test: {
    projects: [
      {
        test: {
          name: "sources",
          include: ["tests/**/*.test.ts"],
          exclude: NEEDS_DIST,
          globalSetup: ["tests/validators.ts"],
          testTimeout: 60_000,
        },
      },
      {
        test: {
          name: "program",
          include: NEEDS_DIST.filter((pattern) => !pattern.includes("bench")),
          globalSetup: ["tests/build.ts"],
          testTimeout: 120_000,
        },
      },
      {
        test: {
          name: "bench",
          include: ["tests/bench/**/*.test.ts"],
          globalSetup: ["tests/build.ts"],
          testTimeout: 300_000,
          sequence: { groupOrder: 1 },
          fileParallelism: false,
        },
      },
    ],
  },
});
