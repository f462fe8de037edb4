import { isAbsolute, relative, sep } from "node:path";
import { type Checked, type CheckOptions, check } from "../../pipeline.js";
import { nodeHost } from "../../workspace/node-host.js";
import { openWorkspace, type Workspace } from "../../workspace/project.js";
import { Progress } from "../progress.js";

export interface Run {
  readonly workspace: Workspace;
  readonly checked: Checked;
  readonly milliseconds: number;
}

export interface RunOptions extends Pick<CheckOptions, "cards"> {
  /** In seconds. */
  readonly timeLimit?: number;
}

/** Opens the project that the paths lie in and checks it. Throws `CannotWork`. */
export function checkPaths(paths: readonly string[], { cards, timeLimit }: RunOptions): Run {
  const timer = startTimer(timeLimit);
  const workspace = openWorkspace(nodeHost, process.cwd(), paths);
  const checked = check(workspace.files, {
    findings: workspace.findings,
    base: wayTo(process.cwd(), workspace.root),
    ...(workspace.focus && { focus: workspace.focus }),
    ...(cards && { cards }),
    deadline: timer.deadline,
  });
  timer.end();
  return { workspace, checked, milliseconds: timer.milliseconds() };
}

/** The time that a run may take, from now on. */
export interface Timer {
  /** True once it is up; on a terminal, asking shows how long it has been going on. */
  readonly deadline: () => boolean;
  /** Wipes what was shown. */
  readonly end: () => void;
  readonly milliseconds: () => number;
}

/** `timeLimit` is in seconds; without it there is no end. */
export function startTimer(timeLimit: number | undefined): Timer {
  const began = performance.now();
  const progress = process.stderr.isTTY ? new Progress((text) => process.stderr.write(text), began) : undefined;
  return {
    deadline: () => {
      const now = performance.now();
      progress?.tick(now);
      return timeLimit !== undefined && now - began > timeLimit * 1000;
    },
    end: () => progress?.end(),
    milliseconds: () => performance.now() - began,
  };
}

/** From the current folder to the project where it lies below, so that an editor and a code host find the files; else nothing. */
export function wayTo(current: string, root: string): string {
  const way = relative(current, root).split(sep).join("/");
  return way === "" || way === ".." || way.startsWith("../") || isAbsolute(way) ? "" : `${way}/`;
}
