/** The browser opened for a person who sits at the terminal. */
import { spawn } from 'node:child_process'

/** Opens an address, where somebody is there to see it. It is a courtesy: what goes wrong is not told of. */
export function openBrowser(url: string, isTerminal: boolean): void {
  const command = isTerminal ? openerOf(process.platform, process.env) : undefined
  if (command === undefined) return
  const [program, ...args] = command
  spawn(program, [...args, url], { stdio: 'ignore', detached: true })
    .on('error', () => undefined)
    .unref()
}

/** The system's own program that opens an address; undefined where there is no screen. */
export function openerOf(
  platform: NodeJS.Platform,
  environment: NodeJS.ProcessEnv,
): readonly [string, ...string[]] | undefined {
  if (platform === 'darwin') return ['open']
  // The first word in quotes would be a window's title.
  if (platform === 'win32') return ['cmd', '/c', 'start', '""']
  return environment['DISPLAY'] || environment['WAYLAND_DISPLAY'] ? ['xdg-open'] : undefined
}
