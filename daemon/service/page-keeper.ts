import type { FastifyInstance } from 'fastify';
import type { Logger } from 'pino';
import type { LoadedConfig } from '../site/config/config.ts';
import { within } from '../within.ts';

/** Where a page is wanted. */
export interface PagePlace {
  address: string;
  port: number;
}

/** A page that is served as soon as its port can be had. */
export interface PageKeeper {
  /** Where it is served; null while it is not. */
  url(): string | null;
  /** The port that it has got; null while it is not served. */
  port(): number | null;
  /** Said before the outputs change: a stop that comes meanwhile waits for the new ones. */
  changing?(): void;
  stop(): Promise<void>;
}

/** Serves a page under a config; the service stops it before it serves another. */
export type ServePage = (
  make: () => Promise<FastifyInstance>,
  place: PagePlace,
  about: { config: LoadedConfig; log: Logger },
) => Promise<PageKeeper>;

const TRY_AGAIN_MS = 10_000;
const CLOSE_PATIENCE_MS = 2_000;

/**
 * Serves a page, and goes on trying while its port is taken: a port must not keep a seedbed from
 * its plan, nor does a person have to start anew once it is free.
 */
export async function keepPage(
  make: () => Promise<FastifyInstance>,
  place: PagePlace,
  { log, tryAgainMs = TRY_AGAIN_MS }: { log: Logger; tryAgainMs?: number },
): Promise<PageKeeper> {
  let app: FastifyInstance | null = null;
  let url: string | null = null;
  let again: NodeJS.Timeout | undefined;
  let told = '';
  let stopped = false;

  async function serve(): Promise<void> {
    const candidate = await make();
    try {
      const found = await candidate.listen({ host: place.address, port: place.port });
      if (stopped) return void (await close(candidate));
      app = candidate;
      url = found;
      if (told !== '') log.info({ page: url }, 'page: served again');
      told = '';
    } catch (error) {
      await close(candidate);
      const why = error instanceof Error ? error.message : String(error);
      if (why !== told) {
        log.error(
          `page: cannot be served (got ${why}); free the port or name another page.port; going on without it and trying again`,
        );
      }
      told = why;
      if (!stopped) again = setTimeout(() => void serve(), tryAgainMs);
    }
  }

  await serve();
  return {
    url: () => url,
    port: () => {
      const bound = app?.server.address();
      return typeof bound === 'object' && bound !== null ? bound.port : null;
    },
    async stop() {
      stopped = true;
      clearTimeout(again);
      if (app !== null) await close(app);
      app = null;
      url = null;
    },
  };
}

/** A browser that keeps its connection open must not keep the daemon from stopping. */
async function close(app: FastifyInstance): Promise<void> {
  app.server.closeAllConnections();
  await within(app.close(), CLOSE_PATIENCE_MS);
  app.server.closeAllConnections();
}
