/** What a condition may say where it stands. */
export interface Purpose {
  /** In a message after "in": "`lit-when`", "a rule's `when`". */
  readonly place: string;
  /** `checked`, `done` and `recorded`: only a procedure has a memory. */
  readonly memory: boolean;
  /** `(P) for T`: nowhere, only where it is not negated, or anywhere. */
  readonly lasting: "nowhere" | "plain" | "anywhere";
  /** Lights without logic read anything afresh at each look: only a look may name one. */
  readonly bareLights: boolean;
  /** Only the fit may be named. */
  readonly fitOnly: boolean;
}

const STATE: Omit<Purpose, "place"> = { memory: false, lasting: "nowhere", bareLights: false, fitOnly: false };

/** A condition of the system: a function of the state of the world. */
export function inSystem(place: string): Purpose {
  return { ...STATE, place };
}

export function fitOnly(place: string): Purpose {
  return { ...STATE, place, fitOnly: true };
}

/** The trigger, the deadline or the scope of a rule, and what it forbids. */
export function inRule(place: string): Purpose {
  return { ...STATE, memory: true, place };
}

/** The `require` of a rule, where alone a time may be asked for: real time has no upper bound. */
export const REQUIRED: Purpose = { ...STATE, memory: true, lasting: "plain", place: "`require`" };

/** What a procedure takes for granted: at its start nothing is known or done, and all clocks read 0. */
export const BEGINS: Purpose = { ...STATE, place: "`begins`" };

export const ENDS: Purpose = { ...STATE, memory: true, place: "`ends`" };

/** What a person looks at: a check, a decision, a wait. */
export function inLook(place: string): Purpose {
  return { place, memory: true, lasting: "anywhere", bareLights: true, fitOnly: false };
}

/** A condition of a step that nobody looks at: it is proved, watched or forbidden. */
export function inStep(place: string): Purpose {
  return { place, memory: true, lasting: "nowhere", bareLights: false, fitOnly: false };
}
