/** A room that imports from another. */
export interface Arrow {
  from: string;
  to: string;
}

/**
 * The arrows that run back in the order of rooms in which fewest do: rooms are moved, one at a time,
 * to where that leaves fewest, until none gains any more. None are left where the rooms have an order.
 */
export function arrowsBack(arrows: readonly Arrow[]): Arrow[] {
  const once = new Map(arrows.map((arrow) => [`${arrow.from} ${arrow.to}`, arrow]));
  const all = [...once.values()];
  const isBack = (order: readonly string[]) => (arrow: Arrow) =>
    order.indexOf(arrow.from) < order.indexOf(arrow.to);
  let order = [...new Set(all.flatMap(({ from, to }) => [from, to]))].sort();
  let best = all.filter(isBack(order)).length;
  for (let isBetter = true; isBetter; ) {
    isBetter = false;
    for (const room of [...order]) {
      const others = order.filter((one) => one !== room);
      for (let at = 0; at <= others.length; at++) {
        const tried = others.toSpliced(at, 0, room);
        const count = all.filter(isBack(tried)).length;
        if (count < best) {
          order = tried;
          best = count;
          isBetter = true;
        }
      }
    }
  }
  return all.filter(isBack(order));
}
