/** Two halves of 32 bits over a text: two texts out of ten million have the same once in 300,000 tries. */
function halves(text: string): [number, number] {
  let high = 0xdeadbeef;
  let low = 0x41c6ce57;
  for (let index = 0; index < text.length; index++) {
    const unit = text.charCodeAt(index);
    high = Math.imul(high ^ unit, 2_654_435_761);
    low = Math.imul(low ^ unit, 1_597_334_677);
  }
  high =
    Math.imul(high ^ (high >>> 16), 2_246_822_507) ^ Math.imul(low ^ (low >>> 13), 3_266_489_909);
  low =
    Math.imul(low ^ (low >>> 16), 2_246_822_507) ^ Math.imul(high ^ (high >>> 13), 3_266_489_909);
  return [high >>> 0, low >>> 0];
}

/** Texts that were met before, by their fingerprint of 64 bits, each under a number that counts up. */
export class Fingerprints {
  #size = 0;
  #slots = new Int32Array(1 << 16);
  #high = new Uint32Array(1 << 15);
  #low = new Uint32Array(1 << 15);

  get size(): number {
    return this.#size;
  }

  /** @returns The number of the text, and whether it is met for the first time. */
  add(text: string): { no: number; isNew: boolean } {
    const [high, low] = halves(text);
    const slot = this.#slotOf(high, low);
    const found = this.#slots[slot] ?? 0;
    if (found > 0) return { no: found - 1, isNew: false };
    if (this.#size === this.#high.length) this.#grow();
    const no = this.#size;
    this.#high[no] = high;
    this.#low[no] = low;
    this.#size += 1;
    this.#slots[this.#slotOf(high, low)] = no + 1;
    return { no, isNew: true };
  }

  #slotOf(high: number, low: number): number {
    const mask = this.#slots.length - 1;
    for (let slot = (high ^ low) & mask; ; slot = (slot + 1) & mask) {
      const found = (this.#slots[slot] ?? 0) - 1;
      if (found < 0 || (this.#high[found] === high && this.#low[found] === low)) return slot;
    }
  }

  #grow(): void {
    const grown = <T extends Int32Array | Uint32Array>(old: T, fresh: T): T => {
      fresh.set(old);
      return fresh;
    };
    this.#high = grown(this.#high, new Uint32Array(this.#high.length * 2));
    this.#low = grown(this.#low, new Uint32Array(this.#low.length * 2));
    this.#slots = new Int32Array(this.#slots.length * 2);
    for (let no = 0; no < this.#size; no++) {
      this.#slots[this.#slotOf(this.#high[no] ?? 0, this.#low[no] ?? 0)] = no + 1;
    }
  }
}
