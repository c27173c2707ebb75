/** How often a running daemon writes its status. */
export const HEARTBEAT_MS = 10_000;
