// Wakes a kernel while JupyterLab itself is still starting, on the processor's other core. The worker
// that JupyterLab then asks for is the one that is there; each further one is made as ever.
{
  const Plain = Worker;
  const start = new URL("ahead.mjs", document.currentScript.src);
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
