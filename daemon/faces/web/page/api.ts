import type {
  ActionChoice,
  ActionRequest,
  ApiError,
  ChangeView,
  ConfirmBody,
  ConfirmView,
  FormView,
  HoldBody,
  HoldDoneView,
  LookBody,
  LookDoneView,
  MeView,
  PreviewView,
} from '../views/action-view.ts';
import type { BedView, LogRow } from '../views/bed-view.ts';
import type {
  SetupAsk,
  SetupCheckView,
  SetupSandView,
  SetupTrialView,
  SetupView,
  SetupWrittenView,
} from '../views/setup-view.ts';
import type { TodayView } from '../views/today-view.ts';
import { language } from './words.ts';

/** An answer is not waited for longer than this: the daemon is on this machine or near it. */
const PATIENCE_MS = 10_000;

/** What came back: the answer, a refusal of the daemon, or nothing at all. */
export type Outcome<T> =
  | { kind: 'well'; value: T }
  | { kind: 'refused'; status: number; error: ApiError }
  | { kind: 'away' };

export const readToday = () => ask<TodayView>('/api/today');
export const readBed = (bedId: string) => ask<BedView>(`/api/bed/${encodeURIComponent(bedId)}`);
export const readBeds = () => ask<{ beds: BedView[] }>('/api/beds');
export const readLog = () => ask<{ rows: LogRow[] }>('/api/log');
export const readMe = () => ask<MeView>('/api/me');
export const signIn = (name: string, pin: string) => ask<MeView>('/api/sign-in', { name, pin });
export const signOut = () => ask<{ line: string }>('/api/sign-out', {});
export const readForm = (kind: string, bedId: string) =>
  ask<FormView>(`/api/form/${encodeURIComponent(kind)}?bed=${encodeURIComponent(bedId)}`);
export const readActions = () => ask<ActionChoice[]>('/api/actions');
export const preview = (change: ActionRequest) => ask<PreviewView>('/api/preview', { change });
export const keepChange = (change: ActionRequest, who: string) =>
  ask<ChangeView>('/api/change', { change, who });
export const confirmPlan = (body: ConfirmBody) => ask<ConfirmView>('/api/confirm', body);
export const stopWater = (body: HoldBody) => ask<HoldDoneView>('/api/hold', body);
export const logLook = (body: LookBody) => ask<LookDoneView>('/api/look', body);

export const readSetup = () => ask<SetupView>('/api/setup');
export const checkSetup = (body: SetupAsk) => ask<SetupCheckView>('/api/setup/check', body);
export const tryWeather = (body: SetupAsk) => ask<SetupTrialView>('/api/setup/try-weather', body);
export const drySand = (sand: unknown) => ask<SetupSandView>('/api/setup/sand', { sand });
export const writeSetup = (digest: string, who: string) =>
  ask<SetupWrittenView>('/api/setup/write', { digest, who });

/** The daemon answers in the language that is named here. */
const LANGUAGE_HEADER = 'x-dewbeat-language';

/** Sends an action when there is a body, else reads. A fault of the network is "away", never thrown. */
async function ask<T>(path: string, body?: unknown): Promise<Outcome<T>> {
  try {
    const response = await fetch(path, {
      signal: AbortSignal.timeout(PATIENCE_MS),
      ...(body === undefined
        ? { headers: { [LANGUAGE_HEADER]: language() } }
        : {
            method: 'POST',
            headers: {
              'content-type': 'application/json',
              'x-dewbeat': '1',
              [LANGUAGE_HEADER]: language(),
            },
            body: JSON.stringify(body),
          }),
    });
    const value: unknown = await response.json();
    if (response.ok) return { kind: 'well', value: value as T };
    return { kind: 'refused', status: response.status, error: value as ApiError };
  } catch {
    return { kind: 'away' };
  }
}
