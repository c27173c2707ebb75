import pino, { type Logger } from 'pino';
import pretty from 'pino-pretty';

/** The daemon's log, as those who must not load the library know it. */
export type DaemonLog = Logger;

/**
 * The daemon's log: JSON lines to a file or pipe, plain lines for a person at a terminal. What
 * happened to plans stands in the store's own log; this one is for whoever runs the machine.
 */
export function daemonLog(options: { level: string; forPerson: boolean }): Logger {
  const { level, forPerson } = options;
  const redact = { paths: ['*.password', '*.pin', '*.credentials'], censor: '(hidden)' };
  return forPerson
    ? pino(
        { level, redact },
        pretty({
          colorize: false,
          ignore: 'pid,hostname',
          translateTime: 'SYS:HH:MM:ss',
          sync: true,
          singleLine: true,
        }),
      )
    : pino({ level, redact });
}
