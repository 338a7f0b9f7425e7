"use strict";
window.addEventListener("DOMContentLoaded", () => {
  window.SwaggerUIBundle({
    url: "/v1/openapi.json",
    dom_id: "#reference",
    deepLinking: true,
    docExpansion: "list",
    defaultModelsExpandDepth: 0,
    displayRequestDuration: true,
    tryItOutEnabled: true,
    validatorUrl: null,
    presets: [window.SwaggerUIBundle.presets.apis],
  });
});
