import { Writable } from 'node:stream';
import pino, { type DestinationStream, type Logger } from 'pino';
import pretty from 'pino-pretty';
import { terminalSafe } from '../words/safe-text.ts';

/** The daemon's log, as those who must not load the library know it. */
export type DaemonLog = Logger;

/** Names under which nothing is ever shown, however deep a library has put them. */
const SECRET_KEYS = [
  'password',
  'passphrase',
  'pin',
  'secret',
  'token',
  'credentials',
  'authorization',
];
const redact = {
  paths: SECRET_KEYS.flatMap((key) => [key, `*.${key}`, `*.*.${key}`, `*.*.*.${key}`]),
  censor: '(hidden)',
};

/**
 * The daemon's log: JSON lines to a file or pipe, plain lines for a person at a terminal. What
 * happened to plans stands in the store's own log; this one is for whoever runs the machine.
 */
export function daemonLog(options: {
  level: string;
  forPerson: boolean;
  /** Left out: standard output. */
  to?: DestinationStream;
}): Logger {
  const { level, forPerson, to } = options;
  return forPerson
    ? pino(
        { level, redact },
        pretty({
          colorize: false,
          ignore: 'pid,hostname',
          translateTime: 'SYS:HH:MM:ss',
          singleLine: true,
          destination: seenBy(to ?? pino.destination({ dest: 1, sync: true })),
        }),
      )
    : pino({ level, redact }, to ?? pino.destination(1));
}

/** Names and reasons from outside stand in the lines: nothing of them may steer the terminal. */
function seenBy(to: DestinationStream): Writable {
  return new Writable({
    decodeStrings: false,
    write(lines: string | Buffer, _, done) {
      to.write(terminalSafe(lines.toString()));
      done();
    },
  });
}
