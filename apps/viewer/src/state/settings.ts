/** What a person sets once for this device: theme and units. */
import { useEffect, useState } from 'preact/hooks'
import { THEMES, type Theme, UNIT_CHOICES, type UnitChoice } from './choices.js'

/** Settings of this device. */
export interface Settings {
  readonly theme: Theme
  readonly units: UnitChoice
}

const KEY = 'firstcrank.settings'
const listeners = new Set<(settings: Settings) => void>()
let current = load()

/** The settings, told anew whenever they change. */
export function useSettings(): Settings {
  const [settings, setSettings] = useState(current)
  useEffect(() => {
    listeners.add(setSettings)
    return () => {
      listeners.delete(setSettings)
    }
  }, [])
  return settings
}

/** Changes settings, for this and every later visit. */
export function changeSettings(change: Partial<Settings>): void {
  current = { ...current, ...change }
  try {
    localStorage.setItem(KEY, JSON.stringify(current))
  } catch {
    // A browser that keeps nothing still shows what was chosen.
  }
  showTheme()
  for (const listener of listeners) listener(current)
}

/** Puts the theme on the page, where the style sheet finds it. */
export function showTheme(): void {
  document.documentElement.dataset['theme'] = current.theme
}

function load(): Settings {
  const dark = globalThis.matchMedia?.('(prefers-color-scheme: dark)').matches
  let kept: Partial<Record<keyof Settings, unknown>> = {}
  try {
    kept = JSON.parse(localStorage.getItem(KEY) ?? '{}') ?? {}
  } catch {
    // Nothing kept, or nothing that can be read.
  }
  return {
    theme: THEMES.find((theme) => theme === kept.theme) ?? (dark ? 'night' : 'day'),
    units: UNIT_CHOICES.find((units) => units === kept.units) ?? 'metric',
  }
}
