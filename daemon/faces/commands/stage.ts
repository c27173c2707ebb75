import type { Command } from 'commander';
import { addActionCommand } from './act-command.ts';
import type { Shell } from './shell.ts';
import { stageReport } from './stage-report.ts';

/** `dewbeat stage`: alone, where each bed stands with its signs. */
export function addStage(program: Command, shell: Shell): void {
  addActionCommand(program, shell, 'stage', {
    alone: (session, { bed, nowMs }) => stageReport(session, { bedId: bed, nowMs }),
  });
}
