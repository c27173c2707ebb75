import type { Command } from 'commander';
import { runsStillWatering } from '../../actions/keep-off.ts';
import { personKeepOffs } from '../../site/store/holds-and-keep-offs.ts';
import { addActionCommand } from './act-command.ts';
import type { Shell } from './shell.ts';
import { repeatConfig } from './store-session.ts';

/** `dewbeat keep-off`: where the plan in force still waters its beds, the command that stops that. */
export function addKeepOffCommand(program: Command, shell: Shell): void {
  addActionCommand(program, shell, 'keep-off', {
    alsoSay(request, { context, options, who }) {
      const put = request['kind'] === 'keep_off' ? personKeepOffs(context.db).at(-1) : undefined;
      const runs = put === undefined ? [] : runsStillWatering(context, put);
      if (put === undefined || runs.length === 0) return [];
      const bedIds = [...new Set(runs.map((run) => run.bedId))];
      return [
        `  npx dewbeat stop-water${repeatConfig(options)} --beds ${bedIds.join(' ')} --who ${JSON.stringify(who)} --why ${JSON.stringify(put.why)}`,
      ];
    },
  });
}
