"use strict";

// read by the UI's scroller as it loads: it would take over links within the page, and move no focus
window.noZensmooth = true;

// What our page already says (title, servers, license) is left out, and each part gets a name that a screen reader can say.
const ourPage = ({ React }) => {
  const e = React.createElement;

  const Reference = ({ getComponent, specSelectors }) => {
    const status = specSelectors.loadingStatus();
    if (status === "failed" || status === "failedConfig") {
      return e("p", { role: "alert" }, "The OpenAPI document could not be loaded: reload the page, or ask the operator.");
    }
    if (status !== "success" || !specSelectors.specStr()) {
      return e("p", { role: "status" }, "Loading the requests …");
    }
    return e(
      "div",
      { className: "swagger-ui" },
      e("div", { className: "keys" }, e(getComponent("AuthorizeBtnContainer", true))),
      e(getComponent("errors", true)),
      e(getComponent("operations", true)),
      e(getComponent("Models", true)),
    );
  };

  // a link inside the button that opens a request would be a control within a control
  const DeepLink = ({ text }) => e("span", null, text);

  // the UI takes an underscore in an address for an old spelling of a space, and complains of it: here it is part of a name
  const parseDeepLinkHash =
    (_original, { layoutActions, layoutSelectors }) =>
    (hash) => {
      const key = layoutSelectors.isShownKeyFromUrlHashArray(hash.replace(/^#!?\/?/, "").split("/"));
      layoutActions.show(key, true);
      layoutActions.scrollTo(key);
    };

  // the UI would write out the bytes of a PDF as text
  const Saved = ({ content, headers }) => {
    const address = React.useMemo(() => URL.createObjectURL(content), [content]);
    const [, name] = /filename="([^"]+)"/.exec(headers["content-disposition"] ?? "") ?? [null, "answer.pdf"];
    return e("p", null, e("a", { href: address, download: name }, `Save ${name}`), ` (${Math.ceil(content.size / 1024)} KiB)`);
  };
  const responseBody = (Original) => (props) =>
    e(props.content instanceof Blob && /^application\/pdf/.test(props.contentType) ? Saved : Original, props);

  const responses = (Original) => (props) => {
    const operation = props.operation?.get?.("operationId") ?? props.path.replace(/^\/v1\//, "").replace(/[-/]/g, "_");
    const code = e("p", { className: "as-code" }, e("a", { href: `docs/code#${operation}` }, "The examples in Python, TypeScript and with curl"));
    return e(React.Fragment, null, props.method === "post" ? code : null, e(Original, props));
  };

  return {
    components: { Reference, DeepLink },
    wrapComponents: { responseBody, responses },
    statePlugins: { layout: { wrapActions: { parseDeepLinkHash } } },
  };
};

const NAMES = [
  [".examples-select-element", "Example"],
  [".body-param__text", "Body of the request"],
  ["select.content-type", "Form of the body"],
  [".dialog-ux input", "Key"],
  [".dialog-ux .close-modal", "Close"],
];
const SCROLLING = [
  [".curl", "The same request as a command"],
  [".request-url pre", "Address of the request"],
  [".live-responses-table pre", "What the service answered"],
  ["pre.microlight", "Example"],
];

function nameParts(root) {
  for (const [selector, name] of NAMES) {
    for (const found of root.querySelectorAll(`:is(${selector}):not([aria-label])`)) {
      found.setAttribute("aria-label", name);
    }
  }
  for (const [selector, name] of SCROLLING) {
    for (const found of root.querySelectorAll(`:is(${selector}):not([tabindex])`)) {
      found.setAttribute("tabindex", "0");
      found.setAttribute("role", "group");
      found.setAttribute("aria-label", name);
    }
  }
}

// the window that takes a key: say that it is one, move the focus into it and back, let Escape close it
const KEY_BUTTONS = ":is(.authorize, .authorization__btn)";
let openedFrom = null; // a selector: the button itself is drawn anew
function noteOpening(event) {
  const button = event.target.closest(KEY_BUTTONS);
  if (button && !button.closest(".dialog-ux")) {
    openedFrom = `#${CSS.escape(button.closest("[id]").id)} ${KEY_BUTTONS}`;
  }
}
function tendDialog(root) {
  const dialog = root.querySelector(".dialog-ux .modal-ux");
  if (dialog && !dialog.hasAttribute("role")) {
    dialog.setAttribute("role", "dialog");
    dialog.setAttribute("aria-modal", "true");
    dialog.setAttribute("aria-label", "Key of the service");
    dialog.addEventListener("keydown", (event) => event.key === "Escape" && dialog.querySelector(".close-modal").click());
    (dialog.querySelector("input") ?? dialog.querySelector(".close-modal")).focus();
  } else if (!dialog && openedFrom) {
    root.parentElement.querySelector(openedFrom)?.focus();
    openedFrom = null;
  }
}

// An object that stands on another one is shown as one object, and what has members or words says its type:
// the document leaves out what its reader can see, and the UI writes "any" there. The UI writes "any" as well for what is referred to
// from within a list or a choice, as long as nobody has opened it: there the type stands beside the reference.
const SCHEMAS = "#/components/schemas/";
function readable(part, schemas) {
  if (Array.isArray(part)) {
    return part.map((inner) => readable(inner, schemas));
  }
  if (part === null || typeof part !== "object") {
    return part;
  }
  const { allOf = [], ...own } = Object.fromEntries(
    Object.entries(part).map(([name, inner]) => [name, name === "enum" || name === "example" ? inner : readable(inner, schemas)]),
  );
  if (typeof own.enum?.[0] === "string" || own.properties) {
    own.type ??= own.properties ? "object" : "string";
  }
  for (const choice of ["anyOf", "oneOf"]) {
    if (Array.isArray(own[choice])) {
      own[choice] = own[choice].map((way) => typed(way, schemas));
    }
  }
  if (own.items?.$ref) {
    own.items = typed(own.items, schemas);
  }
  if (own.propertyNames) {
    own.propertyNames.type ??= "string";
  }
  const alternatives = allOf.filter((way) => way.oneOf && !way.properties);
  for (const way of allOf.filter((each) => !alternatives.includes(each))) {
    const base = way.$ref ? readable(schemas[way.$ref.slice(SCHEMAS.length)], schemas) : way;
    const { properties = {}, required = [], allOf: more = [], ...rest } = base;
    alternatives.push(...more);
    for (const [name, inner] of Object.entries(rest)) {
      own[name] ??= inner;
    }
    if (base.properties) {
      own.properties = { ...properties, ...own.properties };
      own.required = [...required, ...(own.required ?? [])];
    }
  }
  return alternatives.length ? { ...own, allOf: alternatives } : own;
}

const told = new Map();
function typed(way, schemas) {
  if (!way.$ref) {
    return way;
  }
  const name = way.$ref.slice(SCHEMAS.length);
  if (!told.has(name)) {
    told.set(name, readable(schemas[name], schemas));
  }
  const whole = told.get(name);
  return whole.type ? { ...way, type: whole.type } : { title: name, ...whole };
}

// the document is served without the answers to its examples: here they stand beside the requests, once
let completed = false;
async function complete(response) {
  if (completed || !response.ok) {
    return response;
  }
  completed = true;
  const [document, answers] = [JSON.parse(response.text), await fetch("docs/examples.json").then((found) => found.json())];
  document.servers = document.servers.filter((server) => !/^https?:/.test(server.url)); // here the service that served the page is asked
  document.components.schemas = readable(document.components.schemas, document.components.schemas);
  for (const [path, answer] of Object.entries(answers)) {
    document.paths[path].post.responses["200"].content["application/json"].example = answer;
  }
  response.text = JSON.stringify(document);
  return response;
}

window.addEventListener("DOMContentLoaded", () => {
  const root = document.getElementById("reference");
  const tend = () => {
    nameParts(root);
    tendDialog(root);
  };
  root.addEventListener("click", noteOpening, true);
  new MutationObserver(tend).observe(root, { childList: true, subtree: true });
  window.SwaggerUIBundle({
    url: new URL("v1/openapi.json?text=full", window.location.href).href,
    domNode: root,
    deepLinking: true,
    docExpansion: "list",
    defaultModelsExpandDepth: 0,
    displayRequestDuration: true,
    layout: "Reference",
    plugins: [ourPage],
    presets: [window.SwaggerUIBundle.presets.apis],
    syntaxHighlight: { activated: true, theme: "idea" },
    tryItOutEnabled: true,
    responseInterceptor: complete,
    validatorUrl: null,
  });
});
