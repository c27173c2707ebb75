import { flowSchema } from '../config/limits-schema.ts';
import { isMap } from '../config/read-text.ts';
import { askQuantity, askYesNo, textQuestion } from './checked-answer.ts';
import type { Talk } from './talk.ts';
import { mainsText, typedMains } from './typed-mains.ts';

/** Asks for the pump and the mains. */
export async function askSupply(
  talk: Talk,
  old: Readonly<Record<string, unknown>>,
): Promise<Record<string, unknown>> {
  const { pump_flow, mains } = old;
  const pumpFlow = await askQuantity(talk, {
    ask: 'Flow that the pump gives at working pressure (such as 350 gpm, 1300 L/min, 80 m³/h)',
    preset: typeof pump_flow === 'string' ? pump_flow : undefined,
    schema: flowSchema,
  });
  const known = Array.isArray(mains) ? mains.filter(isMap) : [];
  const preset = mainsText(known);
  const typed = await talk.ask(
    textQuestion(
      {
        ask: 'Mains with a limit of their own (such as north 250 gpm; south 250 gpm), or - for none',
        preset: preset === '' ? '-' : preset,
      },
      (text) => {
        const found = typedMains(text);
        return typeof found === 'string' ? found : null;
      },
    ),
  );
  const pipes = typedMains(typed);
  return {
    pump_flow: pumpFlow,
    ...(typeof pipes === 'string' || pipes.length === 0
      ? known.length > 0
        ? { mains: null }
        : {}
      : { mains: pipes }),
  };
}

/** Asks where confirmed plans go; null: as assumed. */
export async function askOutputs(talk: Talk, siteId: string): Promise<Record<string, unknown>[]> {
  const file = { output: 'file', folder: `./dewbeat-data/${siteId}/out` };
  const way = await talk.ask({
    kind: 'choice',
    ask: 'Where do confirmed plans go?',
    choices: [
      { value: 'file', words: 'to files in a folder (a card to print, a table, JSON)' },
      { value: 'mqtt', words: 'to an MQTT broker, and to files' },
      { value: 'none', words: 'nowhere: plans are only shown' },
    ],
    preset: 'file',
  });
  if (way === 'none') return [];
  if (way === 'file') return [file];
  const url = await talk.ask(
    textQuestion({ ask: 'Address of the broker (such as mqtts://broker.example:8883)' }, (text) =>
      /^mqtts?:\/\/[^\s@/]+(\/.*)?$/.test(text)
        ? null
        : 'is no address of a broker without user and password (got something else); write mqtts://host:8883',
    ),
  );
  const needsPassword = await askYesNo(
    talk,
    'Does the broker ask for a user and a password?',
    'yes',
  );
  if (needsPassword) {
    talk.tell(
      '  They do not go into the config: give them to the daemon as the environment variables DEWBEAT_MQTT_USER and DEWBEAT_MQTT_PASSWORD.',
    );
  }
  const secrets = { username_env: 'DEWBEAT_MQTT_USER', password_env: 'DEWBEAT_MQTT_PASSWORD' };
  return [file, { output: 'mqtt', url, ...(needsPassword ? secrets : {}) }];
}
