import { type StopTask, stopWorker } from './outside-stop-part.ts';

/** What hangs in the disk or on a line is given up, long after the command has told its person. */
const LONGEST_MS = 15_000;

/** A part of a stop in a process of its own: it sees its work to the end when the command has gone. */
const doer = stopWorker();
let underWay = 0;
let isLeft = false;
const endIfLeft = () => {
  if (isLeft && underWay === 0) process.exit();
};
process.on('disconnect', () => {
  isLeft = true;
  endIfLeft();
});
process.on('message', (work: StopTask) => {
  underWay += 1;
  void doer.do(work).then((said) => {
    underWay -= 1;
    if (process.connected) process.send?.(said);
    endIfLeft();
  });
});
setTimeout(() => process.exit(1), LONGEST_MS).unref();
