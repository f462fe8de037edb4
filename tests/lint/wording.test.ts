import { describe, expect, test } from "vitest";
import type { ProseKey } from "../../src/lint/prose.js";
import type { LintRule } from "../../src/lint/rule.js";
import { actionInNote } from "../../src/lint/rules/wording-action-in-note.js";
import { allCapitals } from "../../src/lint/rules/wording-all-capitals.js";
import { conditionLast } from "../../src/lint/rules/wording-condition-last.js";
import { injuryAsCaution } from "../../src/lint/rules/wording-injury-as-caution.js";
import { longStep } from "../../src/lint/rules/wording-long-step.js";
import { notImperative } from "../../src/lint/rules/wording-not-imperative.js";
import { placeholder } from "../../src/lint/rules/wording-placeholder.js";
import { twoActions } from "../../src/lint/rules/wording-two-actions.js";
import { unmeasurable } from "../../src/lint/rules/wording-unmeasurable.js";
import { vagueResponse } from "../../src/lint/rules/wording-vague-response.js";
import { caretsOn, onProse } from "./on-prose.js";

/** A text, and the words that the caret is to stand under; none where the text is as it should be. */
type Row = readonly [under: ProseKey, text: string, ...carets: string[]];

function table(rule: LintRule, rows: readonly Row[]): void {
  describe(rule.kind.code, () => {
    const cases = rows.map(([under, text, ...carets]) => ({ under, text, carets }));
    test.each(cases)("$under: $text", ({ under, text, carets }) => {
      expect(caretsOn(rule, under, text)).toEqual(carets);
    });
  });
}

// NASA CR-177549, appendix A (4) and FAA AC 120-71B, 5.4, as quoted elsewhere: no `set`, `checked`, `as required`.
table(vagueResponse, [
  ["response", "SET", "SET"],
  ["response", "Checked.", "Checked."],
  ["response", "as required", "as required"],
  ["say", "Checked", "Checked"],
  ["response", "CLOSED"],
  ["response", "Checked, 3.0 to 4.5 bar"],
  ["response", "Set 15"],
  ["challenge", "Set"],
]);

// NUREG-0899 and DOE-STD-1029-92, as quoted elsewhere: one action a step, none hung on with `then`.
table(twoActions, [
  ["do", "Open the drain, then close the vent", "then close the vent"],
  ["do", "Open the drain and close VENT.", "close VENT"],
  ["words", "Open the drain and press the button", "press the button"],
  ["do", "Open the drain. Close the vent.", "Close the vent."],
  ["do", "If water comes, then open the drain"],
  ["do", "Wait at the pump, by then warm, for the mate"],
  ["do", "Look over the hose and pump"],
  ["do", "Look over the drain and vent for leaks"],
  ["do", "Turn the shaft and listen for knocking"],
  ["do", "Check fan and pump OFF"],
  ["do", "Read both day tanks"],
  ["set-aside", "Turn the key OFF. Call the chief engineer."],
]);

const words = (count: number) => Array.from({ length: count }, () => "word").join(" ");

// ASD-STE100, as quoted elsewhere: 20 words in an instruction, 25 in a descriptive sentence, 6 sentences in a paragraph.
table(longStep, [
  ["do", words(20)],
  ["do", words(21), words(21)],
  ["note", words(25)],
  ["note", words(26), words(26)],
  ["set-aside", `Stop. W${words(21).slice(1)}`, `W${words(21).slice(1)}`],
  ["note", "One. Two. Three. Four. Five. Six."],
  ["note", "One. Two. Three. Four. Five. Six. Seven.", "One. Two. Three. Four. Five. Six. Seven."],
  ["say", words(40)],
  ["because", words(40)],
]);

// NUREG-0899, as quoted elsewhere: a warning, caution or note holds no action.
table(actionInNote, [
  ["note", "Open the drain.", "Open the drain."],
  ["warning", "The board is live. Turn the key OFF before you go on.", "Turn the key OFF before you go on."],
  ["caution", "Check that the vent is open.", "Check that the vent is open."],
  ["warning", "The board is live from here on."],
  ["note", "The horn sounds."],
  ["note", "Stop valve 3 is stiff."],
  ["caution", "Open circuit voltage is 90 V."],
  ["warning", "Keep clear of the belt."],
  ["warning", "Do not open the casing."],
  ["do", "Open the drain."],
]);

// NUREG-0899, as quoted elsewhere: no unmeasurable word without a number.
table(unmeasurable, [
  ["do", "Turn the shaft slowly", "slowly"],
  ["do", "See that the level is normal", "normal"],
  ["do", "Make sure of sufficient pressure", "sufficient"],
  ["do", "Turn the shaft slowly, one turn in 10 s"],
  ["do", "Go back to normal power"],
  ["do", "Open the HIGH PRESSURE cock"],
  ["note", "Some smoke is normal."],
]);

// NUREG-0899, as quoted elsewhere: a step is an instruction, imperative and in ordinary word order.
table(notImperative, [
  ["do", "The mate opens the hatch", "The"],
  ["do", "You may now open the hatch", "You"],
  ["do", "Opening the hatch", "Opening the"],
  ["do", "Hatches must be shut", "must"],
  ["do", "Bring the hand pump"],
  ["do", "Ring the bell"],
  ["do", "Listen for knocking"],
  ["say", "The hatch is shut"],
]);

// NUREG-0899 and DOE-STD-1029-92, as quoted elsewhere: the condition first, then the action.
table(conditionLast, [
  ["do", "Rig the hand pump if the mains are dead.", "if the mains are dead."],
  ["words", "Open the cock unless the tide is out", "unless the tide is out"],
  ["do", "If the mains are dead, rig the hand pump"],
  ["do", "Ask the mate if the hatch is shut"],
  ["do", "Look if the strainer is clear"],
  ["note", "It is louder if the well is dry"],
]);

table(placeholder, [
  ["do", "Close the cock under TBD", "TBD"],
  ["note", "Ask whom??", "??"],
  ["say", "Clear?"],
]);

// NASA CR-177605, as quoted elsewhere: mixed case for long text, capitals for short items only.
table(allCapitals, [
  ["note", "A DRY PUMP IS LOUDER THAN A WET ONE", "A DRY PUMP IS LOUDER THAN A WET ONE"],
  ["response", "OPEN"],
  ["do", "Put GEN BREAKER, COOLING PUMP 1, COOLING PUMP 2 and CROSSOVER on the list"],
]);

// ASD-STE100, as quoted elsewhere: a warning where a person may be hurt, a caution where equipment may be damaged.
table(injuryAsCaution, [
  ["caution", "The belt can injure a hand.", "injure"],
  ["warning", "The belt can injure a hand."],
  ["caution", "Thermal shock cracks the block."],
]);

test("the message of a long step gives the count and the limit", () => {
  expect(onProse(longStep, "do", words(23))[0]?.message).toBe(
    "this sentence has 23 words; 20 are the most for an instruction",
  );
});
