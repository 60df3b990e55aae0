// A tug's number counts once it is typed: who goes on to a lesson has not always pressed its button.
const field = document.querySelector("[name=serial]");
const said = document.querySelector("[aria-live]");
let noted = field.defaultValue;

async function note() {
  if (field.value === noted) return;
  noted = field.value;
  const body = new URLSearchParams(new FormData(field.form));
  try {
    // kept alive, it arrives also where the page is left at once
    const answer = await fetch(field.form.action, { method: "POST", body, keepalive: true });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    said.replaceChildren(...page.querySelector("[role=status]").childNodes);
  } catch {
    noted = null;
    said.textContent = "The number could not be noted. Does Quayside still run? Load this page anew.";
  }
}

field.addEventListener("change", note);
addEventListener("pagehide", note);
