/** What the colours and bars of the page mean. */
export function PageLegend() {
  return (
    <details class="page-legend">
      <summary>How to read this page</summary>
      <p>
        Beside each bed stands the time until its seedbed reaches its dry limit if no water came
        from now on.
      </p>
      <ul class="legend">
        <li>
          <svg width="44" height="22" aria-hidden="true" class="key water">
            <rect width="44" height="22" />
          </svg>
          dew green: water, in the ground or on its way
        </li>
        <li>
          <svg width="44" height="22" aria-hidden="true" class="key person">
            <rect width="44" height="22" />
          </svg>
          clay: needs a person
        </li>
        <li>
          <svg
            width="44"
            height="22"
            aria-hidden="true"
            class="store-bar key-bar"
            viewBox="0 0 44 22"
          >
            <rect class="room" x="1" y="6" width="42" height="10" />
            <rect class="water" x="1" y="6" width="26" height="10" />
            <line class="reserve" x1="10" x2="10" y1="3" y2="19" />
          </svg>
          a bed’s store: filled is what is left above the dry limit, the tick is its reserve, the
          whole length is full
        </li>
      </ul>
    </details>
  );
}
