/** Sets of one size, each with the least cost of having done it with each thing last. Grows as sets come. */
export class Layer {
  count = 0;
  low: Int32Array;
  high: Int32Array;
  private rows: Float64Array;
  private slots: Int32Array;

  constructor(private readonly size: number) {
    this.low = new Int32Array(64);
    this.high = new Int32Array(64);
    this.rows = new Float64Array(64 * size).fill(Number.POSITIVE_INFINITY);
    this.slots = new Int32Array(128).fill(-1);
  }

  /** Where a set is kept; a new place where it was not yet. */
  indexOf(low: number, high: number): number {
    const slot = this.slotOf(low, high);
    const known = this.slots[slot] as number;
    if (known >= 0) return known;
    if (this.count === this.low.length) {
      this.grow();
      return this.indexOf(low, high);
    }
    const index = this.count;
    this.low[index] = low;
    this.high[index] = high;
    this.slots[slot] = index;
    this.count += 1;
    return index;
  }

  /** Where a set is kept; -1 where it is not. */
  find(low: number, high: number): number {
    return this.slots[this.slotOf(low, high)] as number;
  }

  row(index: number, last: number): number {
    return this.rows[index * this.size + last] as number;
  }

  offer(index: number, last: number, cost: number): void {
    const at = index * this.size + last;
    if (cost < (this.rows[at] as number)) this.rows[at] = cost;
  }

  private slotOf(low: number, high: number): number {
    const mask = this.slots.length - 1;
    let slot = (Math.imul(low, 0x9e3779b1) ^ Math.imul(high, 0x85ebca6b)) >>> 7;
    for (slot &= mask; ; slot = (slot + 1) & mask) {
      const index = this.slots[slot] as number;
      if (index < 0 || (this.low[index] === low && this.high[index] === high)) return slot;
    }
  }

  private grow(): void {
    const capacity = this.low.length * 2;
    const [low, high, rows] = [this.low, this.high, this.rows];
    this.low = new Int32Array(capacity);
    this.high = new Int32Array(capacity);
    this.rows = new Float64Array(capacity * this.size).fill(Number.POSITIVE_INFINITY);
    this.low.set(low);
    this.high.set(high);
    this.rows.set(rows);
    this.slots = new Int32Array(capacity * 2).fill(-1);
    for (let index = 0; index < this.count; index += 1)
      this.slots[this.slotOf(low[index] as number, high[index] as number)] = index;
  }
}
