import { z } from 'zod';
import { csvSource } from './csv.ts';
import { csvConfigSchema } from './csv-config.ts';
import { epwConfigSchema, epwSource } from './epw.ts';
import { httpJsonSource } from './http-json.ts';
import { httpJsonConfigSchema } from './http-json-config.ts';
import { mqttSource } from './mqtt.ts';
import { mqttWeatherSchema } from './mqtt-config.ts';
import { outlookSource } from './outlook.ts';
import { outlookConfigSchema } from './outlook-config.ts';
import type { WeatherContext, WeatherSource } from './source.ts';

/** Every source with its own config. */
export const weatherConfigSchema = z.discriminatedUnion('source', [
  csvConfigSchema,
  epwConfigSchema,
  outlookConfigSchema,
  httpJsonConfigSchema,
  mqttWeatherSchema,
]);

export type SourceConfig = z.output<typeof weatherConfigSchema>;

/**
 * The source that the config asks for.
 * @throws RangeError when the time zone of its stamps is unknown to this machine.
 */
export function createWeatherSource(config: SourceConfig, context: WeatherContext): WeatherSource {
  switch (config.source) {
    case 'csv':
      return csvSource(config, context);
    case 'epw':
      return epwSource(config, context);
    case 'http_json':
      return httpJsonSource(config, context);
    case 'mqtt':
      return mqttSource(config, context);
    case 'outlook':
      return outlookSource(config, context);
  }
}
