import { z } from 'zod';
import { brokerAccess, brokerUrl, checkAccess } from '../broker-access.ts';
import { outputNameSchema, takesChangesSchema } from '../contract.ts';
import { quantity } from '../quantity.ts';

/** One level of a topic: MQTT gives `+`, `#` and `/` a meaning of their own. */
const TOPIC_LEVEL = /^[^+#/\p{Cc}\s]{1,80}$/u;

const levelError = (issue: { input?: unknown }) =>
  `does not fit into a topic (got ${String(issue.input)}); leave out spaces, +, # and /`;

/** True when the text can stand as one level of a topic. */
export function isTopicLevel(text: string): boolean {
  return TOPIC_LEVEL.test(text);
}

export const mqttOutputSchema = z
  .strictObject({
    output: z.literal('mqtt'),
    name: outputNameSchema.default('mqtt'),
    takes_changes: takesChangesSchema,
    url: brokerUrl.meta({ description: 'Broker: mqtt://host:1883 or mqtts://host:8883.' }),
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
    ...brokerAccess,
    timeout: quantity('duration_s', { min: 0.1, max: 120 })
      .prefault('10 s')
      .meta({ description: 'How long the broker may take to acknowledge a message.' }),
    retry: quantity('duration_s', { min: 0.1, max: 600 })
      .prefault('5 s')
      .meta({ description: 'Pause between two tries to connect.' }),
  })
  .superRefine(checkAccess)
  .superRefine((config, context) => {
    if (config.most_at_once === undefined || config.mode === 'runs') return;
    const message = `has no meaning in mode ${config.mode}; leave it out or set mode: runs`;
    context.addIssue({ code: 'custom', path: ['most_at_once'], message });
  })
  .meta({ description: 'The plan as messages to an MQTT broker.' });

export type MqttOutputConfig = z.infer<typeof mqttOutputSchema>;
