{% comment %}Variables: facts (JSON of what the worker must know of the workshop).{% endcomment %}self.KEPT = {{ facts|safe }};
importScripts("{% static 'js/kept_pages.js' %}");
