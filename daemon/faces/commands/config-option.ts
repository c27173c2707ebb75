/** The option that every command takes. */
export interface ConfigOption {
  config?: string;
}

export const DEFAULT_CONFIG = './dewbeat.yaml';
