import { z } from 'zod';
import { quantity } from '../quantity.ts';
import { outputNameSchema } from './output-name.ts';

/** One level of a topic: MQTT gives `+`, `#` and `/` a meaning of their own. */
const TOPIC_LEVEL = /^[^+#/\p{Cc}\s]{1,80}$/u;

const levelError = (issue: { input?: unknown }) =>
  `does not fit into a topic (got ${String(issue.input)}); leave out spaces, +, # and /`;

const path = z.string().min(1);

/** True when the text can stand as one level of a topic. */
export function isTopicLevel(text: string): boolean {
  return TOPIC_LEVEL.test(text);
}

export const mqttOutputSchema = z
  .strictObject({
    output: z.literal('mqtt'),
    name: outputNameSchema.default('mqtt'),
    url: z
      .string()
      .refine(isBrokerUrl, {
        // The text itself stays hidden: it may hold a password.
        error:
          'is no broker address (got (hidden)); write mqtt://host:port or mqtts://host:port, ' +
          'with user and password in username_env and password_env or in files',
      })
      .meta({ description: 'Broker: mqtt://host:1883 or mqtts://host:8883.' }),
    protocol: z
      .enum(['5', '3.1.1'])
      .default('5')
      .meta({ description: 'Version of MQTT. 3.1.1 has no expiry and gives no refusals.' }),
    mode: z.enum(['plan', 'runs']).default('plan').meta({
      description:
        'plan: the whole plan in one retained message; runs: each run at its start, for valves that only know on and off.',
    }),
    late_tolerance: quantity('duration_s', { min: 1, max: 300 })
      .prefault('20 s')
      .meta({ description: 'runs: a run that would start later than this is not sent at all.' }),
    most_at_once: z
      .int()
      .min(1)
      .max(1000)
      .optional()
      .meta({ description: "runs: most stations open at once; left out: the supply's own limit." }),
    prefix: z
      .string()
      .refine((text) => !text.startsWith('$') && text.split('/').every(isTopicLevel), {
        error: levelError,
      })
      .default('dewbeat')
      .meta({ description: 'Beginning of every topic; may have levels, such as club/water.' }),
    site: z
      .string()
      .regex(TOPIC_LEVEL, { error: levelError })
      .optional()
      .meta({ description: 'Topic level of the site when it is not the id of the site.' }),
    client_id: z.string().min(1).max(120).optional(),
    username_env: z.string().min(1).optional(),
    username_file: path.optional(),
    password_env: z.string().min(1).optional(),
    password_file: path.optional(),
    ca_file: path.optional().meta({ description: 'Authority that signed the broker, PEM.' }),
    cert_file: path.optional().meta({ description: 'Own certificate, PEM.' }),
    key_file: path.optional().meta({ description: 'Key of the own certificate, PEM.' }),
    timeout: quantity('duration_s', { min: 0.1, max: 120 })
      .prefault('10 s')
      .meta({ description: 'How long the broker may take to acknowledge a message.' }),
    retry: quantity('duration_s', { min: 0.1, max: 600 })
      .prefault('5 s')
      .meta({ description: 'Pause between two tries to connect.' }),
  })
  .superRefine((config, context) => {
    const refuse = (key: string, message: string) =>
      context.addIssue({ code: 'custom', path: [key], message });
    if (config.username_env !== undefined && config.username_file !== undefined) {
      refuse('username_file', 'stands beside username_env (got both); keep one');
    }
    if (config.password_env !== undefined && config.password_file !== undefined) {
      refuse('password_file', 'stands beside password_env (got both); keep one');
    }
    const password = config.password_env ?? config.password_file;
    if (password !== undefined && (config.username_env ?? config.username_file) === undefined) {
      refuse(
        'username_env',
        'is missing (got a password alone); name username_env or username_file',
      );
    }
    if ((config.cert_file === undefined) !== (config.key_file === undefined)) {
      refuse('cert_file', 'needs key_file and the other way round (got one); name both or none');
    }
    if (config.most_at_once !== undefined && config.mode !== 'runs') {
      refuse(
        'most_at_once',
        `has no meaning in mode ${config.mode}; leave it out or set mode: runs`,
      );
    }
    const tls = config.ca_file ?? config.cert_file;
    if (tls !== undefined && !config.url.startsWith('mqtts:')) {
      refuse('url', 'is not encrypted (got mqtt: beside ca_file or cert_file); write mqtts:');
    }
  })
  .meta({ description: 'The plan as messages to an MQTT broker.' });

export type MqttOutputConfig = z.infer<typeof mqttOutputSchema>;

function isBrokerUrl(text: string): boolean {
  if (!URL.canParse(text)) return false;
  const url = new URL(text);
  const bare = url.username === '' && url.password === '' && url.search === '' && url.hash === '';
  const broker = url.protocol === 'mqtt:' || url.protocol === 'mqtts:';
  return bare && broker && url.hostname !== '' && (url.pathname === '' || url.pathname === '/');
}
