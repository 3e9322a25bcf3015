/** Theme and units. */
import { THEMES, UNIT_CHOICES } from '../state/choices.js'
import { changeSettings, useSettings } from '../state/settings.js'
import { text } from '../words/text.js'

/** Two choices in the head of every page. */
export function SettingsBar() {
  const { theme, units } = useSettings()
  const words = text.settings
  return (
    <aside class="settings" aria-label={words.label}>
      <fieldset class="choices small">
        <legend class="hidden">{words.theme}</legend>
        {THEMES.map((choice) => (
          <button
            type="button"
            key={choice}
            aria-pressed={choice === theme}
            onClick={() => changeSettings({ theme: choice })}
          >
            {words.themes[choice]}
          </button>
        ))}
      </fieldset>
      <fieldset class="choices small">
        <legend class="hidden">{words.units}</legend>
        {UNIT_CHOICES.map((choice) => (
          <button
            type="button"
            key={choice}
            aria-pressed={choice === units}
            onClick={() => changeSettings({ units: choice })}
          >
            {words.unitNames[choice]}
          </button>
        ))}
      </fieldset>
    </aside>
  )
}
