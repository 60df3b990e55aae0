// Wakes a kernel while JupyterLab itself is still starting, on the processor's other core. The worker
// that JupyterLab then asks for is the one that is there; each further one is made as ever.
{
  // JupyterLite throws its service worker away where no note tells of which version it is, which is so
  // at the second visit; until another one is there a kernel cannot read the learner's files.
  const { src, dataset } = document.currentScript;
  const worker = navigator.serviceWorker?.controller?.scriptURL;
  if (worker) localStorage.setItem(`${worker}-version`, dataset.version);
  const Plain = Worker;
  const start = new URL("ahead.mjs", src);
  let ahead = crossOriginIsolated ? null : new Plain(start, { type: "module" }); // there it asks for another
  globalThis.Worker = class extends Plain {
    constructor(url, options) {
      if (ahead && /\/comlink\.worker\./.test(url)) {
        const taken = ahead;
        ahead = null;
        return taken;
      }
      super(url, options);
    }
  };
}
