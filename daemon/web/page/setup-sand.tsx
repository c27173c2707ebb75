import { useState } from 'preact/hooks';
import type { SetupProblem, SetupSandView, SetupView } from '../views/setup-view.ts';
import { drySand } from './api.ts';
import { SetupField, SetupPart, SetupSelect } from './setup-field.tsx';
import { labOf, problemsAt, type SandTyped } from './setup-state.ts';
import { Texts } from './texts.tsx';

/** Sands: a laboratory report typed in, and how a sand dries at once. */
export function SetupSand(given: {
  view: SetupView;
  sand: SandTyped;
  problems: readonly SetupProblem[];
  set(sand: SandTyped): void;
}) {
  const { view, sand, problems, set } = given;
  const [picture, setPicture] = useState<SetupSandView | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const change = (part: Partial<SandTyped>) => set({ ...sand, ...part });
  const hasReport = sand.name.trim() !== '';
  const choices = [
    ...(hasReport ? [{ value: '', words: `the report typed here: ${sand.name}` }] : []),
    ...view.sands.map(({ name, words }) => ({ value: name, words })),
  ];
  const show = async () => {
    setBusy(true);
    const outcome = await drySand(sand.shown === '' ? { lab: labOf(sand) } : sand.shown);
    setBusy(false);
    setPicture(outcome.kind === 'well' ? outcome.value : null);
    setWrong(
      outcome.kind === 'well'
        ? null
        : outcome.kind === 'refused'
          ? outcome.error.message
          : 'The daemon does not answer.',
    );
  };
  return (
    <SetupPart title="Sand">
      <p class="small">
        The column sand of the table of beds names a class below, or a report that you type here. A
        bed that names none counts as medium sand over gravel, and the plan says so.
      </p>
      <details>
        <summary>Type a laboratory report</summary>
        <SetupField
          name="Name for this sand (own-sand)"
          value={sand.name}
          problems={problemsAt(problems, 'sands')}
          set={(name) => change({ name, ...(name === '' ? {} : { shown: '' }) })}
        />
        <SetupField
          name="Total porosity (40 %)"
          value={sand.totalPorosity}
          set={(totalPorosity) => change({ totalPorosity })}
        />
        <SetupField
          name="Capillary porosity at 30 cm (18 %)"
          value={sand.capillaryPorosity}
          set={(capillaryPorosity) => change({ capillaryPorosity })}
        />
        <SetupField
          name="Saturated conductivity (350 mm/h, 14 in/h)"
          value={sand.conductivity}
          set={(conductivity) => change({ conductivity })}
        />
        <SetupField
          name="Depth of the sand"
          value={sand.depth}
          set={(depth) => change({ depth })}
        />
        <SetupSelect
          name="What lies below it"
          value={sand.under}
          choices={[
            { value: 'gravel', words: 'gravel' },
            { value: 'open', words: 'open ground' },
          ]}
          set={(under) => change({ under: under as SandTyped['under'] })}
        />
      </details>
      <SetupSelect
        name="Show how a sand dries"
        value={sand.shown}
        choices={choices}
        set={(shown) => change({ shown })}
      />
      <button type="button" disabled={busy} onClick={() => void show()}>
        Dry it down
      </button>
      <div role="status">
        {wrong === null ? null : <p class="told wrong">{wrong}</p>}
        {picture === null ? null : <DryDown picture={picture} />}
      </div>
    </SetupPart>
  );
}

const WIDTH = 320;
const HEIGHT = 140;

/** The seed layer's water from full to dry, as a line and as a table. */
function DryDown({ picture }: { picture: SetupSandView }) {
  const { points, lines, demand } = picture;
  const lastH = points.at(-1)?.hours ?? 1;
  const path = points
    .map(({ hours, fullPct }) => `${(hours / lastH) * WIDTH},${HEIGHT - (fullPct / 100) * HEIGHT}`)
    .join(' ');
  return (
    <div class="told">
      <Texts lines={lines} />
      {points.length === 0 ? null : (
        <>
          <svg
            class="dry-down"
            viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
            role="img"
            aria-label={`Water of the seed layer, losing ${demand}, over ${lastH.toFixed(1)} hours; the table below holds the same`}
          >
            <line x1="0" x2={WIDTH} y1={HEIGHT - 1} y2={HEIGHT - 1} />
            <polyline points={path} />
          </svg>
          <details>
            <summary>The same as a table</summary>
            <table>
              <thead>
                <tr>
                  <th scope="col">after</th>
                  <th scope="col">of full</th>
                </tr>
              </thead>
              <tbody>
                {points.map(({ hours, fullPct }) => (
                  <tr key={hours}>
                    <td>{hours.toFixed(1)} h</td>
                    <td>{fullPct.toFixed(0)} %</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </details>
        </>
      )}
    </div>
  );
}
