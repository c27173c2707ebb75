import { useState } from 'preact/hooks';
import { ChangeForm } from './change-form.tsx';
import { Stepper } from './fields.tsx';
import { usePage } from './page-context.ts';

const F_PER_K = 1.8;

/** The day call: the forecast from now to the end of the day, corrected by a person. */
export function CallForm() {
  const { today } = usePage();
  const { call, site } = today;
  const [hotterK, setHotterK] = useState(call.hotterK);
  const [windFraction, setWindFraction] = useState(call.windFraction);
  const [cloudierFraction, setCloudierFraction] = useState(call.cloudierFraction);
  const isUs = site.units === 'us';
  const hotter = isUs ? hotterK * F_PER_K : hotterK;
  const says =
    hotterK !== call.hotterK ||
    windFraction !== call.windFraction ||
    cloudierFraction !== call.cloudierFraction;
  return (
    <ChangeForm
      title="Day call"
      intro={`${call.line} It shifts what is foretold from now to the end of the day, never what was measured.`}
      change={says ? { kind: 'call', hotterK, windFraction, cloudierFraction } : null}
      missing="Move one of the three first."
    >
      <Stepper
        name="Hotter by"
        words={`${signed(hotter)} ${isUs ? '°F' : '°C'}`}
        value={hotterK}
        step={isUs ? 2 / F_PER_K : 1}
        atLeast={isUs ? -26 / F_PER_K : -15}
        atMost={isUs ? 26 / F_PER_K : 15}
        set={setHotterK}
      />
      <Stepper
        name="Wind times"
        words={`× ${windFraction.toFixed(2)}`}
        value={windFraction}
        step={0.25}
        atLeast={0}
        atMost={4}
        set={setWindFraction}
      />
      <Stepper
        name="Cloudier by"
        words={`${signed(100 * cloudierFraction)} %`}
        value={cloudierFraction}
        step={0.1}
        atLeast={-1}
        atMost={1}
        set={setCloudierFraction}
      />
    </ChangeForm>
  );
}

function signed(value: number): string {
  const whole = Math.round(value * 10) / 10 + 0;
  return whole > 0 ? `+${whole}` : String(whole).replace('-', '−');
}
