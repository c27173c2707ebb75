import { execFile } from 'node:child_process';

/** What a service manager can be told; every call returns at once. */
export interface ServiceNotifier {
  /** True when a service manager listens. */
  readonly heard: boolean;
  /** How often it wants to hear that all is well, ms; null when it does not ask. */
  readonly watchdogMs: number | null;
  tell(...lines: readonly string[]): void;
  /** Ends when everything told so far has been passed on, or given up. */
  passedOn(): Promise<void>;
}

const CALL_PATIENCE_MS = 2_000;

/**
 * The way to systemd's notification socket. Node has no datagram sockets of the file system, so
 * each message is passed on by the program `systemd-notify`, which is a process of its own: the
 * unit therefore needs `NotifyAccess=all`. Without `NOTIFY_SOCKET` nothing is called.
 *
 * @param onFault Told once, when the program cannot be called.
 */
export function serviceNotifier(
  env: NodeJS.ProcessEnv,
  onFault: (error: Error) => void,
): ServiceNotifier {
  const { NOTIFY_SOCKET: socket, WATCHDOG_USEC: usec, WATCHDOG_PID: pid } = env;
  const heard = socket !== undefined && socket !== '';
  const watchdogS = Number(usec) / 1_000_000;
  const asked = heard && watchdogS > 0 && (pid === undefined || pid === String(process.pid));
  let turn: Promise<void> = Promise.resolve();
  let failed = false;
  const call = (lines: readonly string[]) =>
    new Promise<void>((resolve) => {
      execFile('systemd-notify', [...lines], { env, timeout: CALL_PATIENCE_MS }, (error) => {
        if (error !== null && !failed) {
          failed = true;
          onFault(error);
        }
        resolve();
      });
    });
  return {
    heard,
    watchdogMs: asked ? watchdogS * 1000 : null,
    tell: (...lines) => {
      // One after another: READY must not be overtaken by what came after it.
      if (heard) turn = turn.then(() => call(lines));
    },
    passedOn: () => turn,
  };
}
