/** The data folder or its database cannot be used; the message says what to do. */
export class StoreFault extends Error {
  override name = 'StoreFault';
}
