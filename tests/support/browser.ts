/** A real Chromium for tests in the browser, and the built viewer on a plain static server. */
import { existsSync, readFileSync } from 'node:fs'
import { createServer, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import { extname, join, normalize } from 'node:path'
import { fileURLToPath } from 'node:url'
import { type Browser, chromium, type Page } from 'playwright-core'
import { afterAll, beforeAll } from 'vitest'

/** Where systems keep it. `FIRSTCRANK_CHROMIUM` names another place. */
const PLACES = [
  process.env['FIRSTCRANK_CHROMIUM'],
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome-stable',
  '/snap/bin/chromium',
]

/** Path of the browser; undefined where there is none, and tests in the browser cannot run. */
export const CHROMIUM: string | undefined = PLACES.find((path) => path !== undefined && existsSync(path))

const FLAGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
]

/** Starts the browser with a fresh profile. */
export function launchBrowser(): Promise<Browser> {
  return chromium.launch({ executablePath: CHROMIUM ?? '', args: FLAGS, headless: true })
}

/** The built viewer's folder. */
export const VIEWER_DIST: string = fileURLToPath(new URL('../../apps/viewer/dist', import.meta.url))

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.svg': 'image/svg+xml',
  '.json': 'application/json',
  '.webmanifest': 'application/manifest+json',
}

/** A static server that knows nothing of the viewer. */
export interface StaticSite {
  /** Ends in a slash. */
  readonly address: string
  readonly server: Server
}

/** Serves a folder's files on loopback, as any static host does. */
export async function serveFolder(folder: string): Promise<StaticSite> {
  const server = createServer((request, response) => {
    const path = decodeURIComponent(new URL(request.url ?? '/', 'http://localhost').pathname)
    const file = join(folder, normalize(path === '/' ? '/index.html' : path))
    if (!file.startsWith(folder) || !existsSync(file)) {
      response.writeHead(404).end()
      return
    }
    response.writeHead(200, { 'content-type': TYPES[extname(file)] ?? 'application/octet-stream' })
    response.end(readFileSync(file))
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  return { address: `http://127.0.0.1:${(server.address() as AddressInfo).port}/`, server }
}

/** Sizes of the screens that people use. */
export const SIZES = {
  laptop: { viewport: { width: 1280, height: 800 } },
  phone: { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true },
} as const

/** The built viewer as files, and a browser: there while the tests of the group that asks for them run. */
export interface Viewer {
  readonly site: StaticSite
  readonly browser: Browser
}

/** Call it in a group of tests; what it gives is filled before the first of them. */
export function useViewer(): Viewer {
  const viewer = {} as { site: StaticSite; browser: Browser }
  beforeAll(async () => {
    viewer.site = await serveFolder(VIEWER_DIST)
    viewer.browser = await launchBrowser()
  }, 60_000)
  afterAll(async () => {
    await viewer.browser?.close()
    viewer.site?.server.close()
  })
  return viewer
}

const AXE = readFileSync(fileURLToPath(new URL('../../node_modules/axe-core/axe.min.js', import.meta.url)), 'utf8')
const RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']

/** What axe-core finds wrong on a page, one line each: rule, element, why. */
export async function accessibilityProblems(page: Page): Promise<readonly string[]> {
  // Through the debugger, so that the page's security policy stays in force.
  await page.evaluate(AXE)
  return page.evaluate(async (rules) => {
    const { axe } = globalThis as unknown as {
      axe: {
        run(
          options: object,
        ): Promise<{ violations: { id: string; nodes: { html: string; failureSummary: string }[] }[] }>
      }
    }
    const { violations } = await axe.run({ runOnly: rules, resultTypes: ['violations'] })
    return violations.flatMap(({ id, nodes }) =>
      nodes.map((node) => `${id}: ${node.html.slice(0, 160)} ${node.failureSummary}`),
    )
  }, RULES)
}
