import type { FindingKind } from "../diagnostics/finding.js";
import { CONDITION_NOT_HERE, CONDITION_SAYS_NOTHING, POSITION_UNKNOWN } from "./condition/complaints.js";
import { FILE_SAME_ID, FILE_SECOND_PROJECT, SYSTEM_WHICH } from "./files.js";
import {
  NAME_NO_SIDE,
  NAME_RESERVED,
  NAME_TWICE,
  NAME_UNKNOWN,
  NAME_WHICH_SIDE,
  NAME_WRONG_KIND,
} from "./names/complaints.js";
import { STEP_CONTRADICTION } from "./procedure/contradiction.js";
import { POSITION_NOT_SPRUNG, POSITION_SPRUNG, STEP_NOT_SETTABLE } from "./procedure/moves.js";
import { OBSERVE_NOT_WATCHED } from "./procedure/observe.js";
import { PERFORM_CYCLE, PERFORM_TOO_LARGE } from "./procedure/perform-complaints.js";
import { QUANTITY_OUTSIDE_RANGE, QUANTITY_UNITS, QUANTITY_UNREADABLE } from "./quantity-complaints.js";
import { CONTROL_SPRING } from "./system/controls.js";
import { CONDITION_CYCLE } from "./system/cycles.js";
import { CHANGE_WITHOUT_CAUSE } from "./system/equipment.js";
import { FLEET_INCOMPLETE, FLEET_TOO_MANY } from "./system/fleet.js";
import { LAYOUT_OTHER_PANEL } from "./system/layout.js";
import { LIGHT_WITHOUT_CAUSE } from "./system/lights.js";

/** Every finding that resolving can raise. */
export const RESOLVE_KINDS: readonly FindingKind[] = [
  NAME_UNKNOWN,
  NAME_TWICE,
  NAME_RESERVED,
  NAME_WRONG_KIND,
  NAME_WHICH_SIDE,
  NAME_NO_SIDE,
  POSITION_UNKNOWN,
  POSITION_SPRUNG,
  POSITION_NOT_SPRUNG,
  CONDITION_NOT_HERE,
  CONDITION_SAYS_NOTHING,
  CONDITION_CYCLE,
  QUANTITY_UNITS,
  QUANTITY_UNREADABLE,
  QUANTITY_OUTSIDE_RANGE,
  CONTROL_SPRING,
  CHANGE_WITHOUT_CAUSE,
  LIGHT_WITHOUT_CAUSE,
  LAYOUT_OTHER_PANEL,
  FLEET_INCOMPLETE,
  FLEET_TOO_MANY,
  STEP_NOT_SETTABLE,
  STEP_CONTRADICTION,
  OBSERVE_NOT_WATCHED,
  PERFORM_CYCLE,
  PERFORM_TOO_LARGE,
  FILE_SAME_ID,
  FILE_SECOND_PROJECT,
  SYSTEM_WHICH,
];
