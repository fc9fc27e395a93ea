/** How much a notice weighs: an error means no result, a warning a doubtful one, info a remark. */
export type Severity = 'error' | 'warning' | 'info';

/**
 * One thing to tell the user, as a record. Rooms make notices; only report/ and cli/ turn them into
 * text. `line` and `column` count from 1, as an editor counts them.
 */
export interface Notice {
  readonly code: string;
  readonly severity: Severity;
  readonly message: string;
  readonly file?: string;
  readonly line?: number;
  readonly column?: number;
  /** What stood there, as written. */
  readonly found?: string;
  /** What would have been understood. */
  readonly expected?: string;
  /** What to do about it. */
  readonly hint?: string;
}

/** True when any of the notices is an error. */
export function hasErrors(notices: readonly Notice[]): boolean {
  return notices.some((notice) => notice.severity === 'error');
}
