// The board's own interpreter within a page's worker: it runs a program from start to end by direct
// calls of the simulator, which lives in the same thread (robotsim/board/direct.py).
//
// Making a fresh interpreter is something that can only be waited for, and `run` may not wait. So one
// is made at the start and its memory kept as it then is; before each program everything is put back.

const HEAP = 12 * 1024 * 1024; // as on the desk: room for the files of the flash
const CALLS = 4000; // words for nested calls: so many that its own stack ends first, some 150 calls deep

/** Load an interpreter, and give the exports of its WebAssembly instance, which it keeps to itself. */
async function load(loadMicroPython, url) {
  const whole = WebAssembly.instantiate;
  const streaming = WebAssembly.instantiateStreaming;
  let exports;
  const noting = (instantiate) => async (...given) => {
    const made = await instantiate.apply(WebAssembly, given);
    const offered = (made.instance ?? made).exports;
    if (offered?.mp_js_init) exports = offered; // others load modules of theirs at the same time
    return made;
  };
  WebAssembly.instantiate = noting(whole);
  WebAssembly.instantiateStreaming = streaming && noting(streaming);
  try {
    const python = await loadMicroPython({ url, heapsize: HEAP, pystack: CALLS, stdout: () => {} });
    return [python, exports];
  } finally {
    WebAssembly.instantiate = whole;
    WebAssembly.instantiateStreaming = streaming;
  }
}

/** Give a function that puts memory, stack and references back as they are now. */
function keeping({ memory, emscripten_stack_get_current: top, _emscripten_stack_restore: restore }) {
  const bytes = new Uint8Array(memory.buffer).slice();
  const stack = top();
  const refs = [...globalThis.proxy_js_ref];
  const known = new Map(globalThis.proxy_js_ref_map);
  const next = globalThis.proxy_js_ref_next;
  globalThis.pyProxyFinalizationRegistry = { register() {} }; // what it frees belongs to old memory
  return () => {
    const now = new Uint8Array(memory.buffer);
    now.set(bytes);
    now.fill(0, bytes.length);
    restore(stack);
    globalThis.proxy_js_ref = [...refs];
    globalThis.proxy_js_ref_map = new Map(known);
    globalThis.proxy_js_ref_next = next;
    globalThis.proxy_js_map = new Map();
    globalThis.proxy_js_existing = [undefined];
  };
}

const BOOT = `
import sys
sys.argv[:] = ["boot_micropython.py", "/board"]
with open("/board/boot_micropython.py") as boot:
    text = boot.read()
exec(compile(text, "boot_micropython.py", "exec"), {"__name__": "__main__"})
`;

/**
 * Make the board's interpreter.
 *
 * @param loadMicroPython What its package exports.
 * @param {string} url Where its .wasm file lies.
 * @returns What `start.py` beside this file uses: `lay`, once, then `run` for each program.
 */
export async function makeBoard(loadMicroPython, url) {
  const [python, exports] = await load(loadMicroPython, url);
  const host = { order: "", exchange: null };
  python.registerJsModule("_host", {
    order: () => host.order,
    exchange(messages) {
      const answer = host.exchange(messages);
      if (answer === undefined) throw new Error("over"); // no `except` of a program's catches it
      return answer;
    },
  });
  const files = python.FS;
  let putBack = null;
  return {
    /** Lay the files of the board's own modules, as [name, text], where the boot file looks. */
    lay(shims) {
      files.mkdirTree("/own");
      for (const [name, text] of shims) {
        files.mkdirTree(`/board/${name}`.replace(/\/[^/]*$/, ""));
        files.writeFile(`/board/${name}`, text);
      }
      putBack = keeping(exports);
    },
    /** Run one program; whatever ends it, be it within a call of `exchange`, it is over then. */
    run(order, own, exchange) {
      putBack();
      for (const name of files.readdir("/own")) {
        if (!name.startsWith(".")) files.unlink(`/own/${name}`);
      }
      for (const name of own) files.writeFile(`/own/${name}`, "");
      Object.assign(host, { order, exchange });
      try {
        python.runPython(BOOT);
      } catch {
        // The simulator knows why it is over; where it does not, it says that the program is gone.
      }
    },
  };
}
