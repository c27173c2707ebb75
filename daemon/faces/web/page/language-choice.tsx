import { chooseLanguage } from './this-device.ts';
import { isLanguage, LANGUAGES, language } from './words.ts';

/** The languages of the page, each by its own name; the choice stays on this device. */
export function LanguageChoice() {
  return (
    <fieldset class="languages off-paper">
      <legend class="only-heard">Language, idioma</legend>
      {Object.keys(LANGUAGES)
        .filter(isLanguage)
        .map((one) => (
          <button
            key={one}
            type="button"
            class="quiet"
            lang={one}
            aria-pressed={one === language()}
            onClick={() => chooseLanguage(one)}
          >
            {LANGUAGES[one]}
          </button>
        ))}
    </fieldset>
  );
}
