import { parentPort } from 'node:worker_threads';
import { startFront } from './front.ts';
import type { ToFront } from './front-messages.ts';

/** The front of the page in a thread of its own. */
const parent = parentPort;
if (parent === null) throw new Error('front-thread: runs as a worker thread only');
const front = startFront((message) => parent.postMessage(message), Date.now);
parent.on('message', (message: ToFront) => front.hear(message));
