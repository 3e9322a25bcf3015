import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { defineConfig, type Plugin } from 'vite'
import { VitePWA } from 'vite-plugin-pwa'

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url))
const SAMPLES = here('../../sample-logs')

/** Puts the sample logs beside the pages, with a list of them, so that the demo needs no server. */
function sampleLogs(): Plugin {
  return {
    name: 'sample-logs',
    generateBundle() {
      const files = existsSync(SAMPLES) ? readdirSync(SAMPLES).filter((name) => /\.log(\.gz)?$/.test(name)) : []
      const list = files.sort().map((file) => {
        const source = readFileSync(`${SAMPLES}/${file}`)
        this.emitFile({ type: 'asset', fileName: `samples/${file}`, source })
        return { file, bytes: source.length }
      })
      this.emitFile({ type: 'asset', fileName: 'samples/list.json', source: JSON.stringify(list) })
    },
  }
}

export default defineConfig({
  root: here('.'),
  // Works from any folder of any static server.
  base: './',
  resolve: {
    // The sources, so that a stale build of a package cannot get in.
    alias: [
      { find: /^@firstcrank\/decoder\/catalog$/, replacement: here('../../packages/decoder/src/catalog/index.ts') },
      { find: /^@firstcrank\/(decoder|analysis|feed)$/, replacement: `${here('../../packages')}/$1/src/index.ts` },
    ],
  },
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  worker: { format: 'es' },
  build: { target: 'es2023', outDir: 'dist', emptyOutDir: true, assetsInlineLimit: 0 },
  plugins: [
    sampleLogs(),
    VitePWA({
      registerType: 'autoUpdate',
      injectRegister: 'script-defer',
      manifest: {
        name: 'firstcrank',
        short_name: 'firstcrank',
        description: 'Reads recordings of an engine’s diagnostic bus. Nothing is uploaded.',
        start_url: './',
        display: 'standalone',
        background_color: '#f3f0e7',
        theme_color: '#f3f0e7',
        icons: [{ src: 'icon.svg', sizes: 'any', type: 'image/svg+xml', purpose: 'any' }],
      },
      workbox: { globPatterns: ['**/*.{js,css,html,svg}', 'samples/list.json'], navigateFallback: null },
    }),
  ],
})
