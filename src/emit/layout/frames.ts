import { INK, type Mark, type Pen } from "../drawing/marks.js";
import type { FrameStyle } from "./piece.js";

/** The part of a frame that stands on one page. An end is open where the frame goes on on another page. */
export interface FrameExtent {
  readonly style: FrameStyle;
  readonly x: number;
  readonly width: number;
  readonly top: number;
  readonly bottom: number;
  readonly openTop: boolean;
  readonly openBottom: boolean;
}

/** What is drawn for a frame; rails stand at its left edge. */
export function frameMarks(frame: FrameExtent): readonly Mark[] {
  switch (frame.style) {
    case "none":
      return [];
    case "rail":
      return [rail(frame, 0.9, { stroke: INK, weight: 1.4 })];
    case "double-rail":
      return [rail(frame, 0.5, { stroke: INK, weight: 0.9 }), rail(frame, 3.1, { stroke: INK, weight: 0.9 })];
    case "dashed-rail":
      return [rail(frame, 0.9, { stroke: INK, weight: 1.4, dash: [4, 2.5] })];
    case "box":
      return outline(frame, 0, { stroke: INK, weight: 0.8 });
    case "dashed-box":
      return outline(frame, 0, { stroke: INK, weight: 0.8, dash: [3.5, 2] });
    case "memory":
      return outline(frame, 0, { stroke: INK, weight: 2.4 });
    case "pause":
      return [
        ...(frame.openTop ? [] : [dashedRule(frame, frame.top)]),
        ...(frame.openBottom ? [] : [dashedRule(frame, frame.bottom)]),
      ];
    case "warning":
      return [
        ...outline(frame, 1.2, { stroke: INK, weight: 2.4 }),
        ...outline(frame, 4.2, { stroke: INK, weight: 0.7 }),
      ];
    case "caution":
      return outline(frame, 0.6, { stroke: INK, weight: 1.2 });
  }
}

function rail(frame: FrameExtent, inset: number, pen: Pen): Mark {
  const x = frame.x + inset;
  return {
    kind: "path",
    pieces: [
      { to: "move", x, y: frame.top },
      { to: "line", x, y: frame.bottom },
    ],
    ...pen,
  };
}

function dashedRule(frame: FrameExtent, y: number): Mark {
  return {
    kind: "path",
    pieces: [
      { to: "move", x: frame.x, y },
      { to: "line", x: frame.x + frame.width, y },
    ],
    stroke: INK,
    weight: 1.6,
    dash: [6, 3],
  };
}

/** The four sides; an open end has no side there. */
function outline(frame: FrameExtent, inset: number, pen: Pen): readonly Mark[] {
  const left = frame.x + inset;
  const right = frame.x + frame.width - inset;
  const top = frame.top + (frame.openTop ? 0 : inset);
  const bottom = frame.bottom - (frame.openBottom ? 0 : inset);
  if (!frame.openTop && !frame.openBottom)
    return [{ kind: "rect", x: left, y: top, width: right - left, height: bottom - top, ...pen }];
  const side = (x1: number, y1: number, x2: number, y2: number): Mark => ({
    kind: "path",
    pieces: [
      { to: "move", x: x1, y: y1 },
      { to: "line", x: x2, y: y2 },
    ],
    ...pen,
  });
  return [
    side(left, top, left, bottom),
    side(right, top, right, bottom),
    ...(frame.openTop ? [] : [side(left, top, right, top)]),
    ...(frame.openBottom ? [] : [side(left, bottom, right, bottom)]),
  ];
}
