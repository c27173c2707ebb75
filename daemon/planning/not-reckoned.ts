/** Why a question got no answer: a closed list. */
export type NotReckonedCode =
  /** Its asker has asked something newer, which took its place. */
  | 'newer_asked'
  /** As much waits already as may wait. */
  | 'too_busy'
  /** It took too long, or the process that worked on it ended. */
  | 'not_reckoned'
  /** The daemon stops, or starts anew with another config. */
  | 'stopping';

/** A question that got no answer: nothing was done, and it can be asked again. */
export class NotReckoned extends Error {
  override name = 'NotReckoned';
  readonly code: NotReckonedCode;

  constructor(code: NotReckonedCode, message: string) {
    super(message);
    this.code = code;
  }
}
