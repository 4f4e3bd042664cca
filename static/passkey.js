// Passkeys: forms marked data-passkey get a button that makes one or shows one. Without
// this file, or where the browser has none, the password does the same.

const bytes = (text) => Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (c) => c.charCodeAt(0));
const text = (buffer) => btoa(String.fromCharCode(...new Uint8Array(buffer))).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");

// post sends something and gives the answer, or throws the sentence that says why not.
async function post(path, body) {
	const answer = await fetch(path, { method: "POST", body });
	const said = await answer.json();
	if (!answer.ok) throw new Error(said.error);
	return said;
}

const known = (list) => list?.map((k) => ({ ...k, id: bytes(k.id) }));

async function create({ publicKey: p }) {
	const made = await navigator.credentials.create({
		publicKey: { ...p, challenge: bytes(p.challenge), user: { ...p.user, id: bytes(p.user.id) }, excludeCredentials: known(p.excludeCredentials) },
	});
	const { clientDataJSON, attestationObject } = made.response;
	return {
		id: made.id, rawId: text(made.rawId), type: made.type, clientExtensionResults: {},
		response: { clientDataJSON: text(clientDataJSON), attestationObject: text(attestationObject), transports: made.response.getTransports?.() ?? [] },
	};
}

async function get({ publicKey: p }) {
	const shown = await navigator.credentials.get({ publicKey: { ...p, challenge: bytes(p.challenge), allowCredentials: known(p.allowCredentials) } });
	const { clientDataJSON, authenticatorData, signature, userHandle } = shown.response;
	return {
		id: shown.id, rawId: text(shown.rawId), type: shown.type, clientExtensionResults: {},
		response: { clientDataJSON: text(clientDataJSON), authenticatorData: text(authenticatorData), signature: text(signature), userHandle: userHandle && text(userHandle) },
	};
}

async function run(form) {
	const { passkey, at } = form.dataset;
	const options = await post(at + "/begin", new URLSearchParams(new FormData(form)));
	const key = await (passkey === "create" ? create : get)(options);
	const { to } = await post(at + "/finish", JSON.stringify(key));
	location.assign(to);
}

// why is a sentence for what went wrong: the server's own, or for what the browser says.
function why(err) {
	if (err.name === "NotAllowedError") return "No passkey was used: it was stopped, or took too long.";
	if (err.name === "InvalidStateError") return "This phone has a passkey of yours already.";
	return err.name === "Error" && err.message ? err.message : "The passkey could not be used. Try again, or use your password.";
}

for (const form of document.querySelectorAll("form[data-passkey]")) {
	const button = form.querySelector("[data-key]");
	const problem = form.querySelector("[data-key-problem]");
	if (!button || !window.PublicKeyCredential) continue;
	button.hidden = false;
	button.addEventListener("click", async () => {
		problem.textContent = "";
		problem.hidden = button.disabled = true;
		try {
			await run(form);
		} catch (err) {
			problem.textContent = why(err);
			button.disabled = false;
		}
		problem.hidden = !problem.textContent;
	});
}
