import type { ApiErrorCode } from './api-error-codes.ts';
import type { ApiError } from './views/change-view.ts';

/** An answer that says no: what is wrong and what to do, with a code that never changes. */
export class Refused extends Error {
  override name = 'Refused';
  readonly status: number;
  readonly code: ApiErrorCode;
  readonly more: Partial<ApiError>;

  constructor(status: number, code: ApiErrorCode, message: string, more: Partial<ApiError> = {}) {
    super(message);
    this.status = status;
    this.code = code;
    this.more = more;
  }
}
