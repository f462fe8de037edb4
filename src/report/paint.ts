import { Chalk } from "chalk";
import type { Severity } from "../diagnostics/finding.js";

/** The few inks of a report; without colour each gives its text back. */
export interface Paint {
  readonly severity: (severity: Severity, text: string) => string;
  readonly strong: (text: string) => string;
  readonly dim: (text: string) => string;
  readonly second: (text: string) => string;
}

export function paint(colour: boolean): Paint {
  const ink = new Chalk({ level: colour ? 1 : 0 });
  const bySeverity = { error: ink.red.bold, warning: ink.yellow.bold, info: ink.cyan.bold };
  return {
    severity: (severity, text) => bySeverity[severity](text),
    strong: (text) => ink.bold(text),
    dim: (text) => ink.dim(text),
    second: (text) => ink.blue(text),
  };
}
