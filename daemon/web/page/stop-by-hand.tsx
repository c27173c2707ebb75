/** How water is stopped without the daemon: the same words wherever the page cannot stop it. */
export function StopByHand() {
  return (
    <>
      close the valve or the main by hand, run <code>npx dewbeat hold</code> in a terminal of the
      daemon’s machine, or call somebody who can.
    </>
  );
}
