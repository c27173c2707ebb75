/** How water is stopped without the daemon: the same words wherever the page cannot stop it. */
export function StopByHand() {
  return (
    <>
      close the valve or the main by hand, type <code>npx dewbeat hold</code> on the daemon’s
      machine, or call somebody who can.
    </>
  );
}
